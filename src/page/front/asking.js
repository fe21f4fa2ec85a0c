/** Asks for answers after every change: quick ones first, then full ones. What is no longer wanted is dropped. */
ds.asking = (() => {
  // Long enough that a field's change and the next keystroke make one question.
  const AFTER_MS = 20;
  const AGAIN_MS = 400;
  const QUICK = { draws: 500, next: true, next_draws: 100 };
  const FULL = { draws: 2000, next: true };
  let answers = null;
  let answersFor = null;
  let trouble = null;
  /** Why the time for the plan does not read; answers come without a plan meanwhile. */
  let timeTrouble = null;
  let busy = null;
  let time = '2 h';
  let round = 0;
  let timer = null;

  const tell = () => ds.doc.emit('answers', { answers, answersFor });

  /** @returns true if the round is still wanted afterwards */
  const one = async (mine, text, wanted, last) => {
    try {
      const asked = { ask: 'answers', text, seed: 1, ...wanted };
      let reply = await ds.host.ask({ ...asked, time: timeTrouble ? null : time }, 'slow');
      if (mine !== round) return false;
      if (!reply.ok && time !== null && !timeTrouble) {
        // Whether it is the time that does not read shows without it.
        const why = reply.refused;
        reply = await ds.host.ask({ ...asked, time: null }, 'slow');
        if (mine !== round) return false;
        if (reply.ok) timeTrouble = why;
      }
      if (!reply.ok) {
        trouble = reply.refused;
        busy = null;
        tell();
        return false;
      }
      trouble = null;
      answers = { ...reply, text };
      answersFor = last ? 'full' : 'quick';
      busy = last ? null : 'full';
      tell();
      return true;
    } catch (error) {
      if (mine !== round) return false;
      if (error && error.stale) {
        // Ended in favour of another question, and yet none is newer: asked once more.
        timer = setTimeout(run, AGAIN_MS);
        return false;
      }
      trouble = { title: (error && error.words) || 'no answer came', hint: 'the next change asks again' };
      busy = null;
      tell();
      return false;
    }
  };

  const run = async () => {
    const mine = round;
    const { text } = ds.doc;
    if (await one(mine, text, QUICK, false)) await one(mine, text, FULL, true);
  };

  /** Answers for what stands now. */
  const again = () => {
    round += 1;
    clearTimeout(timer);
    answersFor = null;
    trouble = null;
    busy = ds.doc.view && ds.doc.view.stands ? 'quick' : null;
    tell();
    if (busy) timer = setTimeout(run, AFTER_MS);
  };

  const setTime = (next) => {
    if (next === time) return;
    time = next;
    timeTrouble = null;
    again();
  };

  let of = null;
  const start = () => ds.doc.on('view', ({ text, how }) => {
    if (how === 'open') answers = null;
    else if (of === text) return;
    of = text;
    again();
  });

  return {
    start,
    again,
    setTime,
    get time() { return time; },
    get answers() { return answers; },
    get answersFor() { return answersFor; },
    get timeTrouble() { return timeTrouble; },
    get trouble() { return trouble; },
    get busy() { return busy; },
  };
})();
