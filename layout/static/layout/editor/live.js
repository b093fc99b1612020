// Asks the server how the plan stands with the boxes as they are: at most one question a frame and one under way, and
// the last state always gets its answer. `more`: what is sent beside the boxes. Must not know what is asked.
export function live(form, more, answered, failed) {
  let asked = false;
  let underWay = false;
  let moving = "";

  async function ask() {
    asked = false;
    underWay = true;
    const started = performance.now();
    const body = new URLSearchParams(new FormData(form));
    body.set("legal", moving);
    for (const [name, value] of Object.entries(more())) body.set(name, value);
    try {
      const response = await fetch(form.dataset.live, { method: "POST", body, headers: { Accept: "application/json" } });
      if (!response.ok || response.redirected) throw new Error(response.status);
      const answer = await response.json();
      performance.measure("plan-live", { start: started }); // for whoever wants to know how long it took
      answered(answer, !asked); // a newer state may wait already: then this shows where it is on its way
    } catch {
      failed();
    }
    underWay = false;
    if (asked) requestAnimationFrame(ask);
  }

  function want(what) {
    if (what !== undefined) moving = what;
    if (asked) return;
    asked = true;
    if (!underWay) requestAnimationFrame(ask);
  }

  return { want };
}
