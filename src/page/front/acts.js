// What gestures and keys do to the sketch: each is one list of changes. Words are those of the sketch.
/* global ds */
ds.acts = (() => {
  const view = () => ds.doc.view;
  const runs = () => (view() && view().runs) || [];
  const written = (i) => {
    const list = view() && view().sketch && view().sketch.runs;
    return (Array.isArray(list) && list[i] && typeof list[i] === 'object' && list[i]) || {};
  };
  const walkOf = (i) => (Array.isArray(written(i).walk) ? written(i).walk : []);
  let isBusy = false;
  const ENDINGS = ['boot', 'return box', 'cap', 'intake', 'joins'];

  /** Makes the changes as one step of undo, then says what was made. Gives the reply, or false where they were not made. */
  async function make(changes, label, said) {
    // A second press while the first is being made is the same wish.
    if (!changes.length) return false;
    if (isBusy) {
      ds.drawing.tell('One moment: the last change is still being made');
      return false;
    }
    isBusy = true;
    let reply;
    try {
      reply = await ds.doc.change(changes, label);
    } catch (error) {
      ds.drawing.tell(error && error.title ? `Not done: ${error.title}` : 'Not done');
      return false;
    } finally {
      isBusy = false;
    }
    if (!reply) {
      ds.drawing.tell(ds.doc.refused ? `Not done: ${ds.doc.refused.title}` : 'Not done');
      return false;
    }
    ds.drawing.say(said || label);
    return reply;
  }

  /** Index of the run that the first change put in, or null. */
  const insertedAt = (done) => (done && Array.isArray(done.at) && Array.isArray(done.at[0]) && done.at[0][0] === 'runs' && Number.isInteger(done.at[0][1]) ? done.at[0][1] : null);

  function freeId(base, numbered) {
    const taken = new Set(runs().map((run) => String(run.id).toLowerCase()));
    if (!numbered && !taken.has(base)) return base;
    for (let k = numbered ? 1 : 2; ; k += 1) if (!taken.has(`${base} ${k}`)) return `${base} ${k}`;
  }

  /** Section of a run at its end, as words. */
  function sectionOf(i) {
    const pieces = (view().pieces || []).filter((p) => p.run === i && p.section);
    const last = pieces[pieces.length - 1];
    return (last && last.section) || String(written(i).size || '');
  }

  const isRound = (section) => !/x/.test(section) && !/oval/.test(section);
  const isFlex = (i) => /flex/.test(String(written(i).material || ''));
  const elbowWord = (i) => (isFlex(i) ? 'flex bend' : isRound(sectionOf(i)) ? 'adjustable elbow' : 'elbow');

  const elbowParts = (word, turn) => ({ kind: 'elbow', word, heading: turn.heading, ...(turn.degrees ? { degrees: turn.degrees } : {}) });
  const elbowText = (word, turn) => `${word} ${turn.heading}${turn.degrees ? ` ${turn.degrees} degrees` : ''}`;
  const straight = (text) => ({ kind: 'straight', length: text });

  function ended(i) {
    const steps = runs()[i].steps || [];
    const last = steps[steps.length - 1];
    return Boolean(last && ENDINGS.includes(ds.scene.kindOf(last)));
  }

  /** A new trunk out of a plenum. */
  function trunk(side, heading, length, section) {
    const id = freeId(side === 'return' ? 'return trunk' : 'trunk', false);
    const value = { id, side, from: `${side} plenum`, size: section.size };
    if (section.material && !['rectangular', 'round'].includes(section.material)) value.material = section.material;
    value.walk = [`${ds.snap.compass(heading) || 'north'} ${length.text}`];
    return make([{ do: 'insert', path: ['runs'], at: null, value }], `Draw ${id}`, `run ${id}, ${length.text} ${ds.snap.headingWords(heading)}, open end`);
  }

  /** A branch off a run: `face` left or right, `bend` what turns it by 45 degrees or null. */
  function branch(on, along, face, bend, length, section, takeoff) {
    if (!runs()[on].id) {
      ds.drawing.tell('This run has no name yet: give it one first');
      return Promise.resolve(false);
    }
    const id = freeId(runs()[on].side === 'return' ? 'return branch' : 'branch', true);
    const value = { id, from: `${runs()[on].id} at ${along}${face ? ` ${face}` : ''}`, size: section.size };
    if (section.material && !['rectangular', 'round'].includes(section.material)) value.material = section.material;
    const word = section.material === 'flex' ? 'flex bend' : isRound(section.size) ? 'adjustable elbow' : 'elbow';
    value.walk = [takeoff, ...(bend ? [elbowText(word, bend)] : []), length.text];
    return make([{ do: 'insert', path: ['runs'], at: null, value }], `Draw ${id}`, `run ${id}, off ${runs()[on].id} at ${along} ${face || ''}, ${length.text}, open end`);
  }

  /** Goes on from an open end; `turn` as `ds.snap.turn` gives it. */
  function goOn(i, turn, length) {
    const path = ['runs', i, 'walk'];
    const changes = [];
    if (turn) changes.push({ do: 'insert_step', path, at: null, parts: elbowParts(elbowWord(i), turn) });
    changes.push({ do: 'insert_step', path, at: null, parts: straight(length.text) });
    return make(changes, `Go on with ${runs()[i].id}`, `run ${runs()[i].id}, ${turn ? `${elbowText(elbowWord(i), turn)}, ` : ''}${length.text}, open end`);
  }

  /** Ends a run, or changes how it ends. */
  function endWith(i, parts, words) {
    const count = walkOf(i).length || (runs()[i].steps || []).length;
    const change = ended(i)
      ? { do: 'set_step', path: ['runs', i, 'walk', count - 1], parts }
      : { do: 'insert_step', path: ['runs', i, 'walk'], at: null, parts };
    return make([change], `${words} on ${runs()[i].id}`, `run ${runs()[i].id}, ${words}`);
  }

  const sized = (ip, si) => (ds.snap.isSi() ? si : ip);
  // Usual sizes: common practice in small houses.
  const boot = (i) => endWith(i, { kind: 'boot', word: 'boot', size: sized('10x4 in', '250x100 mm') }, 'boot');
  const returnBox = (i) => endWith(i, { kind: 'boot', word: 'return box', size: sized('20x12 in', '500x300 mm') }, 'return box');
  const cap = (i) => endWith(i, { kind: 'cap', word: 'cap' }, 'cap');

  /** Up or down from an open end, with the elbow that turns there. */
  function riser(i, way, length) {
    const from = runs()[i].end_heading;
    const to = [0, 0, way === 'up' ? 1 : -1];
    const turn = from && ds.snap.isUpright(from) && ds.snap.dot(from, to) > 0 ? null : { heading: way };
    return goOn(i, turn, length);
  }

  const elbow = (i, turn) => make([{ do: 'insert_step', path: ['runs', i, 'walk'], at: null, parts: elbowParts(elbowWord(i), turn) }], `Elbow on ${runs()[i].id}`, `run ${runs()[i].id}, ${elbowText(elbowWord(i), turn)}`);

  /** Sides of a written section: `[14, 8]`; of a round one its diameter twice. */
  function sidesOf(section) {
    const m = /^([\d.]+)(?:x([\d.]+))?/.exec(section);
    return m ? [Number(m[1]), Number(m[2] || m[1])] : null;
  }

  /** The usual section that is next smaller and wider nowhere; where there is none, one two inches or 50 mm narrower. */
  function smaller(section) {
    const now = sidesOf(section);
    const sizes = ds.tools.sizes(isRound(section) ? 'round' : 'rectangular');
    if (!now) return sizes[0];
    const unit = (/(in|mm|cm|m)\b/.exec(section) || [])[1];
    const fits = sizes.map((words) => ({ words, sides: sidesOf(words) }))
      .filter(({ words, sides }) => sides && new RegExp(`\\b${unit}\\b|${unit}$`).test(words) && sides[0] <= now[0] && sides[1] <= now[1] && sides[0] * sides[1] < now[0] * now[1] - 1e-9)
      .sort((a, b) => b.sides[0] * b.sides[1] - a.sides[0] * a.sides[1]);
    if (fits.length) return fits[0].words;
    const step = { in: 2, mm: 50, cm: 5, m: 0.05 }[unit] || 2;
    const less = Number(Math.max(step, now[0] - step).toFixed(3));
    return isRound(section) ? `${less} ${unit || 'in'}` : `${less}x${now[1]} ${unit || 'in'}`;
  }

  const reducerParts = (i) => ({ kind: 'reducer', word: 'reducer to', size: smaller(sectionOf(i)) });
  const reducer = (i) => make([{ do: 'insert_step', path: ['runs', i, 'walk'], at: null, parts: reducerParts(i) }], `Reducer on ${runs()[i].id}`, `run ${runs()[i].id}, reducer to ${reducerParts(i).size}`);

  /** Puts a fitting into a straight length: the length is cut in two. `spot` as `ds.hit.runAt` gives it. */
  function insertInto(spot, parts, words) {
    const step = (runs()[spot.run].steps || [])[spot.step];
    const path = ['runs', spot.run, 'walk'];
    const cut = ds.snap.round(spot.t, ds.snap.alongStep());
    const said = `${words} on ${runs()[spot.run].id}, ${ds.snap.say(spot.leg.along + cut)} from its start`;
    if (!step || !step.parts || step.parts.kind !== 'straight') return Promise.resolve(ds.drawing.tell('Choose a straight length'));
    if (cut < 0.1) return make([{ do: 'insert_step', path, at: spot.step, parts }], words, said);
    if (spot.leg.length - cut < 0.1) return make([{ do: 'insert_step', path, at: spot.step + 1, parts }], words, said);
    const rest = { ...step.parts, heading: null, length: ds.snap.say(spot.leg.length - cut) };
    return make([
      { do: 'set_step', path: [...path, spot.step], parts: { ...step.parts, length: ds.snap.say(cut) } },
      { do: 'insert_step', path, at: spot.step + 1, parts },
      { do: 'insert_step', path, at: spot.step + 2, parts: rest },
    ], words, said);
  }

  function setLength(i, j, length) {
    const step = (runs()[i].steps || [])[j];
    if (!step || !step.parts) {
      ds.drawing.tell('More is said of this piece than its length: change it in its form');
      return Promise.resolve(false);
    }
    return make([{ do: 'set_step', path: ['runs', i, 'walk', j], parts: { ...step.parts, length: length.text } }], `Length on ${runs()[i].id}`, `run ${runs()[i].id}, ${length.text}`);
  }

  function setFrom(i, along, face) {
    const on = runs()[runs()[i].on_run];
    if (!on) return Promise.resolve(false);
    return make([{ do: 'set', path: ['runs', i, 'from'], value: `${on.id} at ${along}${face ? ` ${face}` : ''}` }], `Move ${runs()[i].id}`, `run ${runs()[i].id} leaves ${on.id} at ${along} ${face || ''}`);
  }

  /** The face that a run's `from` names: `left`, `right`, `up` …, or null. */
  function faceOf(i) {
    const m = /\s(left|right|up|down|top|bottom)\s*$/i.exec(String(written(i).from || ''));
    return m ? m[1].toLowerCase() : null;
  }

  /** Takes away what is picked. */
  function erase(pick) {
    if (!pick || pick.run === null || pick.run === undefined || !runs()[pick.run]) return Promise.resolve(false);
    const id = runs()[pick.run].id;
    const steps = runs()[pick.run].steps || [];
    if (pick.kind === 'run' || pick.kind === 'end' || steps.length <= 1) {
      return make([{ do: 'remove_run', run: pick.run }], `Erase ${id}`, `run ${id} and what hangs on it erased`).then((done) => {
        // Runs are counted anew: what was picked is no longer there.
        if (done) ds.pick.set(null);
        return done;
      });
    }
    if (pick.kind === 'seam' || !steps[pick.step]) return Promise.resolve(ds.drawing.tell('A seam goes with its piece: pick the piece'));
    return make([{ do: 'remove', path: ['runs', pick.run, 'walk', pick.step] }], `Erase ${steps[pick.step].text}`, `${steps[pick.step].text} of ${id} erased`);
  }

  function mirror(i) {
    const before = ds.doc.text;
    const { id } = runs()[i];
    return make([{ do: 'mirror', run: i }], `Mirror ${id}`, `${id} mirrored`).then((done) => {
      if (done && ds.doc.text === before) ds.drawing.say(`${id} turns nowhere, so its mirror image is itself: to put it on the other side, change left or right where it starts`);
      return done;
    });
  }

  /** A copy of a branch at another distance of the run that it leaves, on the other face or the same. */
  function copy(i, along, face) {
    const on = runs()[runs()[i].on_run];
    if (!on) return Promise.resolve(ds.drawing.tell('Only a branch that leaves another run can be copied'));
    return make([{ do: 'copy_branch', run: i, from: `${on.id} at ${along}${face ? ` ${face}` : ''}` }], `Copy ${runs()[i].id}`, `${runs()[i].id} copied to ${on.id} at ${along} ${face || ''}`).then((done) => {
      const k = insertedAt(done);
      if (k !== null) ds.pick.set({ kind: 'run', run: k }, { again: true });
      return done;
    });
  }

  return { insertedAt, trunk, branch, goOn, boot, returnBox, cap, riser, elbow, reducer, reducerParts, insertInto, setLength, setFrom, faceOf, erase, mirror, copy, ended, isRound, sectionOf };
})();
