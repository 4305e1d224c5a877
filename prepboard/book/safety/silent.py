"""What prepboard says nothing about: rules of food codes that it does not check, in order of danger. One list, said by
`show rules`, the record and the README; a kitchen's own plan covers them."""

from __future__ import annotations

SILENT = (
    "fish packed without oxygen stays frozen until it is used (3-502.12(C))",
    "garlic in oil, curing and acidified rice need a plan of their own (3-502.11, from memory)",
    "raw fish is frozen against parasites before it is served raw (3-402.11, from memory)",
    "temperatures and suppliers at receiving",
    "how exact a probe is, and when it was last checked",
    "guests at special risk, raw and undercooked food, pooled eggs (3-801.11, from memory)",
    "the written procedure that time as a control asks for (3-501.19)",
    "tags of shellfish, kept for 90 days (from memory)",
    "how food is thawed (3-501.13, from memory)",
    "raw and cooked food kept apart (3-302.11, from memory)",
)
