"use strict";
// The secret stands behind the # of the link, which no browser sends by itself. It is sent once, and a cookie comes back.
(async () => {
  const said = document.getElementById("said");
  const secret = location.hash.slice(1);
  history.replaceState(null, "", "/");
  if (!secret) { said.textContent = said.dataset.noLink; return; }
  try {
    const answer = await fetch("/enter", { headers: { "Authorization": "Bearer " + secret }, cache: "no-store" });
    if (answer.ok) { location.replace("/board"); return; }
    said.textContent = said.dataset.unknown;
  } catch {
    said.textContent = said.dataset.silent;
  }
})();
