// A film to show as it plays: room beneath the picture for the player's own controls, which would else lie on the beat line.

const CONTROLS_PX = 76;
const film = document.querySelector(".show-film");

function roomy() {
  if (!film.videoWidth) return;
  const most = 0.78 * innerHeight;
  const wide = Math.min(film.parentElement.clientWidth, film.videoWidth, most * film.videoWidth / film.videoHeight);
  film.style.width = `${Math.round(wide)}px`;
  film.style.height = `${Math.round(wide * film.videoHeight / film.videoWidth) + CONTROLS_PX}px`;
}

film.addEventListener("loadedmetadata", roomy);
addEventListener("resize", roomy);
roomy();
