// Sets the two points of a picture by pressing on it, in turn; the boxes hold them and can be typed in as well.
const POINTS = ["from", "to"];

export function pictureToScale(place, form) {
  if (!place || !form) return;
  const [wide, high] = [Number(place.dataset.wide), Number(place.dataset.high)];
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
  svg.setAttribute("aria-hidden", "true");
  place.append(svg);
  const arm = Math.max(wide, high) / 40;
  let next = 0;

  function draw() {
    svg.replaceChildren();
    for (const point of POINTS) {
      const [x, y] = ["x", "y"].map((way) => form.elements[`${point}_${way}`].value);
      if (x === "" || y === "") continue;
      const cross = document.createElementNS("http://www.w3.org/2000/svg", "path");
      cross.setAttribute("class", "point");
      cross.setAttribute("stroke-width", arm / 6);
      cross.setAttribute("d", `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`);
      svg.append(cross);
    }
  }

  place.addEventListener("click", (event) => {
    const at = place.getBoundingClientRect();
    form.elements[`${POINTS[next]}_x`].value = Math.round(((event.clientX - at.left) / at.width) * wide);
    form.elements[`${POINTS[next]}_y`].value = Math.round(((event.clientY - at.top) / at.height) * high);
    next = 1 - next;
    draw();
    if (next === 0) form.elements.namedItem("length").focus(); // .length is how many boxes there are
  });
  form.addEventListener("input", draw);
  document.getElementById("picture-hint").hidden = false;
  draw();
}
