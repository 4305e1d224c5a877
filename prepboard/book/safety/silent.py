"""What prepboard says nothing about: rules of food codes that it does not check, in order of danger. One list, said by
`show rules`, the record, the guide and, in its short words, the README; a kitchen's own plan covers them."""

from __future__ import annotations

from collections.abc import Mapping

SILENT: Mapping[str, str] = {
    "garlic in oil": "garlic or herbs in oil need a plan of their own (3-502.11, from memory)",
    "curing and smoking": "curing and smoking to preserve need a plan of their own (3-502.11, from memory)",
    "rice and pickles made safe by acid": "rice and pickles that only their acid makes safe need a plan of their own,"
    " whatever was measured (3-502.11, from memory)",
    "barriers of what is packed without oxygen": "what is packed without oxygen needs a barrier such as acid or salt,"
    " besides its days (3-502.12(B))",
    "how long a core is held": "a core is compared; the seconds and minutes for which it is held are not (3-401.11)",
    "guests at special risk": "guests at special risk get nothing raw, and no raw pooled eggs (3-801.11, from memory)",
    "the notice about raw food": "guests are told what is raw or undercooked (3-603.11, from memory)",
    "the written procedure for time control": "time as a control needs a procedure in writing (3-501.19)",
    "shellfish tags": "tags of shellfish are kept for 90 days (3-203.12, from memory)",
    "papers of frozen fish": "papers of fish frozen against parasites are kept for 90 days (3-402.12, from memory)",
    "how food is thawed": "food is thawed in the cold, under running water or as it is cooked (3-501.13, from memory)",
    "raw and cooked kept apart": "raw and cooked food are kept apart (3-302.11, from memory)",
    "deliveries nobody wrote down": "goods that came and were not written down were not read (3-202.11, from memory)",
}
"""In a few words, and as a whole sentence."""
