// Practice with the number keys: 1 is the first answer. The film plays slowly by itself.

const form = document.querySelector("[data-answers]");
const video = document.querySelector("evenfall-practice-film video");

if (video && !matchMedia("(prefers-reduced-motion: reduce)").matches) {
  video.playbackRate = 0.5;
  video.play().catch(() => {});
}

addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select")) return;
  const button = form.querySelectorAll("button")[Number(event.key) - 1];
  if (button) { event.preventDefault(); button.click(); }
});
