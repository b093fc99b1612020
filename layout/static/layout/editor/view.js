// Larger, smaller and about: by buttons, by keys, by the wheel with Ctrl, by two fingers. Knows only the drawing's frame.
const MOST = 8;
const STEP = 1.25;

export function view(sheet) {
  let zoom = 1;
  let left = 0; // of what is seen, in parts of the whole
  let top = 0;
  const fingers = new Map();
  let pinch = null;
  let panning = null;

  const drawing = () => sheet.querySelector("svg");
  const whole = () => (drawing().dataset.whole ??= drawing().getAttribute("viewBox")).split(" ").map(Number);

  function show() {
    if (!drawing()) return;
    const [, , wide, high] = whole();
    const part = 1 / zoom;
    left = Math.min(Math.max(left, 0), 1 - part);
    top = Math.min(Math.max(top, 0), 1 - part);
    drawing().setAttribute("viewBox", `${left * wide} ${top * high} ${part * wide} ${part * high}`);
    sheet.classList.toggle("zoomed", zoom > 1);
  }

  // About a point, in parts of what is seen: it stays where it is.
  function by(factor, x = 0.5, y = 0.5) {
    const next = Math.min(Math.max(zoom * factor, 1), MOST);
    left += x * (1 / zoom - 1 / next);
    top += y * (1 / zoom - 1 / next);
    zoom = next;
    show();
  }

  function about(x, y) {
    left += x / zoom;
    top += y / zoom;
    show();
  }

  function reset() {
    [zoom, left, top] = [1, 0, 0];
    show();
  }

  const part = ({ clientX, clientY }) => {
    const at = drawing().getBoundingClientRect();
    return [(clientX - at.left) / at.width, (clientY - at.top) / at.height];
  };

  sheet.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey || !drawing()) return;
      event.preventDefault();
      by(event.deltaY < 0 ? STEP : 1 / STEP, ...part(event));
    },
    { passive: false },
  );

  const KEYS = { "+": () => by(STEP), "=": () => by(STEP), "-": () => by(1 / STEP), 0: reset };
  const WAYS = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] };
  sheet.addEventListener("keydown", (event) => {
    if (!drawing() || event.ctrlKey || event.metaKey || event.altKey) return;
    if (KEYS[event.key]) KEYS[event.key]();
    else if (WAYS[event.key] && event.target === sheet && zoom > 1) about(...WAYS[event.key]);
    else return;
    event.preventDefault();
  });

  const apart = () => {
    const [one, other] = [...fingers.values()];
    return { far: Math.hypot(one[0] - other[0], one[1] - other[1]), x: (one[0] + other[0]) / 2, y: (one[1] + other[1]) / 2 };
  };

  sheet.addEventListener("pointerdown", (event) => {
    if (!drawing()) return;
    if (event.pointerType === "touch") fingers.set(event.pointerId, part(event));
    if (fingers.size === 2) {
      pinch = apart();
      panning = null;
    } else if (zoom > 1 && !event.target.closest(".mark, .in-the-way, .corner-held")) panning = part(event);
  });
  sheet.addEventListener("pointermove", (event) => {
    if (fingers.has(event.pointerId)) fingers.set(event.pointerId, part(event));
    if (pinch && fingers.size === 2) {
      const now = apart();
      by(now.far / pinch.far, now.x, now.y);
      pinch = apart();
    } else if (panning) {
      const [x, y] = part(event);
      about(panning[0] - x, panning[1] - y);
      panning = [x, y];
    }
  });
  const lift = ({ pointerId }) => {
    fingers.delete(pointerId);
    if (fingers.size < 2) pinch = null;
    panning = null;
  };
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, lift);

  return { show, larger: () => by(STEP), smaller: () => by(1 / STEP), reset, busy: () => pinch !== null };
}
