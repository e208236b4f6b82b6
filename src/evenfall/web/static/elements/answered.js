// What has answered, shown as soon as it is worked out: the part that tells is fetched again until it is no longer busy.

const place = document.querySelector("[data-answered]");
const LOOK_MS = 700;

async function look() {
  const answer = await fetch(place.dataset.answered).catch(() => null);
  if (!answer?.ok) return true;
  const told = document.createElement("template");
  told.innerHTML = await answer.text();
  const busy = Boolean(told.content.querySelector("[data-part=busy]"));
  if (!busy && !place.contains(document.activeElement)) place.replaceChildren(told.content);
  else if (!busy) place.querySelector("[data-part=busy]")?.remove();
  return busy;
}

if ("busy" in place.dataset) {
  const again = async () => { if (await look()) setTimeout(again, LOOK_MS); else delete place.dataset.busy; };
  setTimeout(again, LOOK_MS);
}
