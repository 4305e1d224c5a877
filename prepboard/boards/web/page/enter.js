"use strict";
// The secret stands behind the # of the link, which no browser sends by itself. It is sent once, and a cookie comes back.
(async () => {
  const said = document.getElementById("said");
  const secret = location.hash.slice(1);
  history.replaceState(null, "", "/");
  if (!secret) { said.textContent = "Open this page by the link that serve printed for this device."; return; }
  try {
    const answer = await fetch("/enter", { headers: { "Authorization": "Bearer " + secret }, cache: "no-store" });
    if (answer.ok) { location.replace("/board"); return; }
    said.textContent = "This link is not known here any more. Ask for a new one: prepboard serve add.";
  } catch {
    said.textContent = "The kitchen's machine does not answer. Check the Wi-Fi, then open the link again.";
  }
})();
