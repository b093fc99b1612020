// Follows a piece of long work: asks how far it is, moves the bar, and opens the page anew once the state changes.
// Without scripts the page has a link to look again.
const EVERY = 2000; // ms

const place = document.getElementById("work-progress");
const bar = document.getElementById("work-bar");
const steps = document.getElementById("work-steps");
const began = place.dataset.state;

async function look() {
  try {
    const answer = await fetch(place.dataset.stateUrl, { headers: { Accept: "application/json" } });
    if (answer.ok) {
      const now = await answer.json();
      if (now.state !== began) {
        location.reload();
        return;
      }
      if (now.total && bar) {
        bar.max = now.total;
        bar.value = now.done;
        steps.textContent = `${now.done} / ${now.total}`;
      }
    }
  } catch {
    // No signal: asked again next time.
  }
  setTimeout(look, EVERY);
}

setTimeout(look, EVERY);
