// A part of a long form that was opened moves up, so that what it asks is in sight and nobody has to scroll for it.

for (const part of document.querySelectorAll("details.part")) {
  part.addEventListener("toggle", () => {
    if (part.open && part.getBoundingClientRect().bottom > innerHeight) part.scrollIntoView({ block: "start" });
  });
}
