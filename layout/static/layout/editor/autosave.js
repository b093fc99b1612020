// Keeps the draft behind the page's back once it is quiet. A save that would go over someone else's is refused by the
// server; then it stops and says so. Must not know what is kept.
const QUIET = 1200; // ms without a change

export function autosave(form, say, words) {
  let timer = 0;
  let underWay = false;
  let again = false;
  let stopped = !form.dataset.keep;

  async function keep() {
    if (underWay) {
      again = true;
      return;
    }
    underWay = true;
    say(words.keeping);
    try {
      const body = new URLSearchParams(new FormData(form));
      const response = await fetch(form.dataset.keep, { method: "POST", body, headers: { Accept: "application/json" } });
      if (response.redirected) throw new Error("signed out");
      const answer = await response.json();
      if (answer.ok) {
        form.elements.draft_version.value = answer.draft_version;
        form.elements.ceiling_version.value = answer.ceiling_version;
        say(words.kept);
      } else {
        say(answer.said);
        if (answer.stale) stop(answer.said);
      }
    } catch {
      say(words.failed);
    }
    underWay = false;
    if (again) {
      again = false;
      soon();
    }
  }

  function stop(said) {
    stopped = true;
    const notice = document.createElement("div");
    notice.className = "notice bad";
    notice.setAttribute("role", "alert");
    const link = document.createElement("a");
    link.href = location.href;
    link.textContent = words.theirs;
    notice.append(`${said} `, link);
    form.prepend(notice);
  }

  function soon() {
    if (stopped) return;
    clearTimeout(timer);
    timer = setTimeout(keep, QUIET);
  }

  form.addEventListener("submit", () => {
    clearTimeout(timer);
    stopped = true;
  });
  return { soon };
}
