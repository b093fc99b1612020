// The way back and forward through states, each taken when a change is done. Knows nothing of what a state holds.
export function history(take, putBack, changed) {
  const past = [];
  const future = [];
  let settled = take();
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
  const tell = () => changed({ back: past.length > 0, forward: future.length > 0 });

  function settle() {
    const now = take();
    if (same(now, settled)) return false;
    past.push(settled);
    future.length = 0;
    settled = now;
    tell();
    return true;
  }

  function step(from, to) {
    settle();
    const next = from.pop();
    if (!next) return false;
    to.push(settled);
    settled = next;
    putBack(next);
    tell();
    return true;
  }

  return { settle, undo: () => step(past, future), redo: () => (same(take(), settled) ? step(future, past) : false) };
}
