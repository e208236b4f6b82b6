// Four keys of one's own for the four feet.

import { PLAN, footName } from "./feet.js";
import { keyOf, setFootKeys } from "./keys.js";

export class KeySettings {
  constructor(root, changed) {
    const place = root.querySelector("[data-part=foot-keys]");
    place.replaceChildren(...PLAN.map((limb) => field(limb)));
    place.addEventListener("change", () => {
      const chosen = Object.fromEntries([...place.querySelectorAll("input")].map((input) => [input.name, input.value.trim()]));
      const kept = setFootKeys(chosen);
      root.querySelector("[data-part=keys-say]").textContent = kept
        ? "Kept in this browser."
        : "Not kept: four different letters are needed, and none that has another use below.";
      if (kept) changed();
    });
  }
}

function field(limb) {
  const label = document.createElement("label");
  const input = Object.assign(document.createElement("input"), { name: limb, value: keyOf(limb), maxLength: 1, size: 2, autocomplete: "off" });
  label.append(footName(limb), " ", input);
  return label;
}
