// The board narrowed by a part of a horse's name while it is typed. Without script the form asks the server.

const form = document.querySelector("[data-board-filter]");

if (form) {
  const field = form.querySelector("input[name=name]");
  const count = form.querySelector("[data-part=count]");
  const rows = [...document.querySelectorAll(".horse-row")];
  form.querySelector("button").hidden = !field.value;
  field.addEventListener("input", () => {
    const wanted = field.value.trim().toLowerCase();
    for (const row of rows) row.hidden = !row.dataset.name.includes(wanted);
    for (const group of document.querySelectorAll("[data-group]")) {
      group.hidden = !group.querySelector(".horse-row:not([hidden])");
    }
    const shown = rows.filter((row) => !row.hidden).length;
    count.textContent = wanted ? `${shown} of ${rows.length} horses` : "";
  });
}
