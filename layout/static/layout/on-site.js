// The moves a crew lead needs when the first joist isn't where the plan has it, or a duct turns up, worked out on the
// phone with no signal. Knows no page: numbers in, numbers out. The same answers as layout/engine/ways/on_site.py, held
// to the same cases; once there is signal the server's answer rules.
//
// All whole numbers, in parts of a tick, 100 to a tick: 1/1600 in or 0.01 mm. Squares stay below 2^53.

export const PARTS = 100;

// site: {size, lines, other_size, others, keep, least, edge, within: {pair, end, slide},
//        joists: {spacing, width, first} | null, found: {low, high, other_low, other_high, keep} | null}
// answer: {clear, pair: {moves, lines} | null, equal: {move, lines} | null, slide: {move, others} | null}, moves in ticks
export function onSite(site) {
  if (site.lines.every(at => stands(site, at, site.others))) {
    return {clear: true, pair: null, equal: null, slide: null};
  }
  return {clear: false, pair: pairMove(site), equal: equalMove(site), slide: slideMove(site)};
}

function stands(site, at, others) {
  if (at < site.edge || at > site.size - site.edge) return false;
  if (site.joists) {
    const {spacing, width, first} = site.joists;
    const off = ((at - first) % spacing + spacing) % spacing;
    if (2 * Math.min(off, spacing - off) < 2 * site.keep + width) return false;
  }
  return others.every(other => clearsFound(site.found, at, other));
}

function clearsFound(found, at, other) {
  if (!found) return true;
  const past = Math.max(found.low - at, at - found.high, 0);
  const beside = Math.max(found.other_low - other, other - found.other_high, 0);
  return past * past + beside * beside >= found.keep * found.keep;
}

const apart = (site, lines) => lines.every((at, n) => n === 0 || at - lines[n - 1] >= site.least);

function* nearest(most) {
  yield 0;
  for (let move = 1; move <= most; move++) {
    yield move;
    yield -move;
  }
}

// Each pair the least it needs, toward the middle where both ways are alike.
function pairMove(site) {
  const {lines, size, others} = site;
  const half = Math.floor(lines.length / 2);
  const middle = lines.slice(half, half + lines.length % 2);
  const mirrored = lines.every((at, n) => at + lines[lines.length - 1 - n] === size);
  if (!half || !mirrored || !middle.every(at => stands(site, at, others))) return null;
  const moves = [];
  for (const at of lines.slice(0, half)) {
    const move = first(nearest(site.within.pair), by =>
      stands(site, at + by * PARTS, others) && stands(site, size - at - by * PARTS, others));
    if (move === null) return null;
    moves.push(move);
  }
  const near = moves.map((move, n) => lines[n] + move * PARTS);
  const moved = [...near, ...middle, ...near.map(at => size - at).reverse()];
  return apart(site, moved) ? {moves, lines: moved} : null;
}

// Both ends the same off the walls and the gaps alike.
function equalMove(site) {
  const count = site.lines.length;
  if (count < 2) return null;
  let lines = null;
  const move = first(nearest(site.within.end), by => {
    const end = site.lines[0] + by * PARTS;
    if (by === 0 || 2 * end >= site.size) return false;
    lines = spread(end, count, site.size);
    return apart(site, lines) && lines.every(at => stands(site, at, site.others));
  });
  return move === null ? null : {move, lines};
}

export function spread(end, count, size) {
  const span = size - 2 * end, gaps = count - 1;
  const near = Array.from({length: Math.floor(count / 2)}, (_, n) =>
    end + Math.floor((2 * n * span + gaps * PARTS) / (2 * gaps * PARTS)) * PARTS);
  const middle = count % 2 ? [Math.floor(size / 2)] : [];
  return [...near, ...middle, ...near.map(at => size - at).reverse()];
}

// The lines across, all together along the joists.
function slideMove(site) {
  let others = null;
  const move = first(nearest(site.within.slide), by => {
    others = site.others.map(at => at + by * PARTS);
    const inside = others.length && others[0] >= site.edge && others.at(-1) <= site.other_size - site.edge;
    return by !== 0 && inside && site.lines.every(at => stands(site, at, others));
  });
  return move === null ? null : {move, others};
}

function first(moves, holds) {
  for (const move of moves) {
    if (holds(move)) return move;
  }
  return null;
}
