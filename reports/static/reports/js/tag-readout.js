// Says in one line what the tag under the pointer or in focus is. Without it each tag still has its name and its title.
const readout = document.getElementById("readout");
const wall = document.querySelector(".wall");

function read(event) {
  const tag = event.target.closest("a.tag");
  if (!tag) return;
  const job = tag.closest(".strip").querySelector(".strip-name").textContent.trim();
  readout.textContent = `${job}: ${tag.getAttribute("aria-label")}`;
  readout.hidden = false;
}

if (readout && wall) {
  wall.addEventListener("pointerover", read);
  wall.addEventListener("focusin", read);
}
