/** The Answers tab: how much leaks and where, what to look at next, what to seal. */
ds.answers = (() => {
  const { byId, el, button, freshId } = ds.dom;
  const TOP = 10;
  let shown = TOP;

  const old = () => !ds.doc.answersFor;
  const result = () => ds.doc.answers && ds.doc.answers.allocation;
  const testPressure = (allocation) => `${ds.numbers.number(allocation.house.test_pa, Number.isInteger(allocation.house.test_pa) ? 0 : 1)} Pa`;

  const seamOf = (seam) => {
    const allocation = result();
    if (!allocation) return null;
    const byPlace = allocation.seams[seam.i];
    return byPlace && byPlace.id === seam.id ? byPlace : allocation.seams.find(({ id }) => id === seam.id) || null;
  };

  const stale = () => (old() ? el('p', { class: 'note' }, 'From before the last change.') : null);

  /** What the answers say of one seam. */
  const ofSeam = (seam) => {
    const found = seamOf(seam);
    if (!found) return null;
    const n = ds.numbers;
    return el('div', { class: old() ? 'old' : '' },
      el('p', {}, 'Leaks probably ', el('strong', {}, n.withBand(found.test_m3_s)), ` in the test at ${testPressure(result())}: ${n.percent(found.share)} of all seams.`,
        result().readings.length ? '' : ' No reading yet: this is what is usual for such a seam.'),
      found.top10_chance === null || found.top10_chance === undefined ? null : el('p', { class: 'note' }, `Chance to be among the 10 largest: ${n.chance(found.top10_chance)}.`), stale());
  };

  const go = (id) => {
    const seam = ds.doc.view.seams.find((one) => one.id === id);
    ds.pick.set({ kind: 'seam', run: seam ? seam.run : null, step: seam ? seam.step : null, seam: id });
    if (ds.drawing && ds.drawing.reveal) ds.drawing.reveal(ds.pick.get());
    if (matchMedia('(max-width: 899px)').matches) ds.side.setSheet('half');
  };

  /** A band as a bar on a common rail, with the mean marked; the words beside it say the same. */
  const bar = (band, most) => {
    const inner = el('span', { class: 'band' });
    const mean = el('span', { class: 'mean' });
    const part = (value) => `${Math.max(0, Math.min(100, (100 * value) / most))}%`;
    inner.style.left = part(band.p05);
    inner.style.width = `${Math.max(0.5, Math.min(100, (100 * (band.p95 - Math.max(0, band.p05))) / most))}%`;
    mean.style.left = part(band.mean);
    return el('span', { class: 'bar', 'aria-hidden': 'true' }, inner, mean);
  };

  const short = (allocation) => {
    const n = ds.numbers;
    const { house, readings } = allocation;
    const line = (label, words, note) => [el('dt', {}, label), el('dd', {}, words, note ? el('small', {}, ` ${note}`) : null)];
    const total = house.total.mean;
    return el('div', {},
      readings.length ? null : el('p', { class: 'lead' }, 'Prior only: no reading yet. What stands here is usual for ducts built like these; it says nothing of this house.'),
      el('dl', {},
        line(`All seams at ${testPressure(allocation)}`, n.withBand(house.total)),
        line('Same as one opening', n.opening(house.equivalent_opening_m2.mean)),
        line('Supply', n.withBand(house.supply), total > 0 ? `${n.percent(house.supply.mean / total)} of all seams` : null),
        line('Return', n.withBand(house.return), total > 0 ? `${n.percent(house.return.mean / total)} of all seams` : null),
        line('To outside', n.withBand(house.to_outside), 'house held at the pressure of the ducts'),
        house.hidden_share ? line('Hidden from the hand', n.percent(house.hidden_share.mean), 'behind finish or out of reach') : null),
      el('p', { class: 'note' }, 'Each: mean, and the band that holds 90 % of the chance.'));
  };

  const readingsPart = (allocation) => {
    const n = ds.numbers;
    if (!allocation.readings.length) return null;
    return el('div', {}, el('h3', {}, 'Measured and modelled'), el('ul', { class: 'bare rows' }, allocation.readings.map((one) => {
      const show = (value) => n.ofReading(value, one.unit, one.observable);
      const unit = n.readingUnit(one.unit);
      return el('li', {}, el('span', {}, el('strong', {}, one.id), `: measured ${show(one.measured)} ${unit} ± ${show(one.measured_sd)}`,
        one.modelled ? `, modelled ${show(one.modelled.mean)} ${unit} (${show(one.modelled.p05)} to ${show(one.modelled.p95)})` : '',
        one.prior ? el('small', {}, ` expected before any reading: ${show(one.prior.p05)} to ${show(one.prior.p95)}`) : null));
    })));
  };

  /** From which chance to hang open a seam is named, as the command does. */
  const NAMED = 0.05;

  const openPart = (allocation) => {
    const n = ds.numbers;
    const named = (allocation.gross || []).filter(({ chance }) => chance >= NAMED);
    if (!named.length) return null;
    return el('div', {}, el('h3', {}, 'May hang open'),
      el('ul', { class: 'bare rows' }, named.map((one) => el('li', {},
        el('span', {}, one.seams.length > 1 ? 'One of ' : '', one.seams.map((id, at) => [at ? ', ' : '', button(id, () => go(id), { class: 'plain' })])),
        el('span', {}, `chance ${n.percent(one.chance)}, ${n.withUnit(one.test_m3_s.mean)} if open`)))),
      el('p', { class: 'note' }, `Nothing hangs open: chance ${n.percent(allocation.nothing_open_chance)}.`));
  };

  const seams = (allocation) => {
    const n = ds.numbers;
    const ranked = [...allocation.seams].sort((a, b) => b.test_m3_s.mean - a.test_m3_s.mean);
    const top = ranked.slice(0, shown);
    const most = Math.max(...top.map(({ test_m3_s: band }) => band.p95), 1e-9);
    return el('div', {}, el('h3', {}, 'Seams by probable leakage'),
      el('ol', { class: 'bare seams' }, top.map((seam, at) => el('li', {}, button([
        el('span', { class: 'who' }, `${at + 1}. ${seam.id}`),
        el('span', { class: 'much' }, `${n.leak(seam.test_m3_s.mean)} ${n.flowUnit()} · ${n.percent(seam.share)}`),
        bar(seam.test_m3_s, most),
        el('span', { class: 'note' }, `${n.leaks(seam.test_m3_s)} ${n.flowUnit()} · ${seam.place}${seam.reach === 'open' ? '' : seam.reach === 'none' ? ', no hand gets there' : `, ${seam.reach}`}`),
      ], () => go(seam.id), { class: 'seam', data: { key: `seam/${seam.id}` } })))),
      ranked.length > shown ? button('Show more', () => { shown += 30; render(); }) : null,
      el('p', { class: 'note' }, 'A probable place, never a certain one. Tap a seam to see it on the drawing; write what you see there under Piece.'));
  };

  const nextPart = () => {
    const { next } = ds.doc.answers;
    const n = ds.numbers;
    if (!next) return ds.asking.busy ? el('p', { class: 'note' }, 'What to look at next: being worked out.') : null;
    if (next.stopped) return el('div', {}, el('h3', {}, 'What to look at or test next'), el('p', {}, next.stopped));
    const enter = (one) => {
      if (one.seams && one.seams.length) ds.looks.walkThrough(one.seams);
      else if (!ds.readings.beginFromLine(one.sketch_line)) ds.side.show('readings');
    };
    return el('div', {}, el('h3', {}, 'What to look at or test next'),
      el('ol', { class: 'bare' }, next.candidates.slice(0, 3).map((one) => el('li', { class: 'card' },
        el('p', {}, el('strong', {}, one.what), `, ${n.significant(one.minutes, 2)} min`),
        one.caution ? el('p', { class: 'wrong' }, one.caution) : null,
        el('p', {}, one.why),
        el('p', { class: 'note' }, [one.caught_gain_m3_s > 0 ? `sealing the ${next.plan.seams} best seams would catch ${n.withUnit(one.caught_gain_m3_s)} more after it` : null, one.variance_gain > 0 ? `takes ${n.percent(one.variance_gain)} of the doubt about the total away` : null].filter(Boolean).join('; ')),
        one.sketch_line ? el('p', {}, el('code', {}, one.sketch_line.replace(/^- /, ''))) : null,
        button('Enter what was seen or read', () => enter(one), { data: { key: `next/${one.rank}` } })))));
  };

  const timeField = () => {
    const id = freshId('time');
    const set = () => input.isConnected && ds.asking.setTime(input.value.trim() || null);
    const wrong = ds.asking.timeTrouble;
    const input = el('input', { id, type: 'text', value: ds.asking.time || '', autocomplete: 'off', placeholder: '2 h', data: { key: 'time', was: ds.asking.time || '' }, 'aria-invalid': ds.asking.timeTrouble ? 'true' : null, 'aria-describedby': `${id}-said`, on: { change: set, blur: set, keydown: (event) => event.key === 'Enter' && set() } });
    return el('div', { class: 'field' }, el('label', { for: id }, 'Time at hand for sealing'), input, el('div', { id: `${id}-said` }, wrong ? el('p', { class: 'wrong', role: 'alert' }, wrong.title, wrong.hint ? el('span', { class: 'hint' }, `; ${wrong.hint}`) : null) : el('p', { class: 'note' }, 'For instance: 2 h or 90 min. Empty: no plan.')));
  };

  const planPart = () => {
    const { plan } = ds.doc.answers;
    const n = ds.numbers;
    const head = el('h3', {}, 'What to seal');
    if (!plan) return el('div', {}, head, timeField(), ds.asking.busy ? el('p', { class: 'note' }, 'The plan: being worked out.') : null);
    const halt = plan.stopped || plan.halted;
    const words = new Map((plan.methods || []).map((method) => [method.id, method.words]));
    return el('div', {}, head, timeField(),
      halt ? el('div', { class: 'stop' }, el('p', {}, el('strong', {}, 'Stop. '), halt)) : null,
      plan.steps.length ? [
        el('p', { class: 'lead' }, `${plan.steps.length} ${plan.steps.length === 1 ? 'seam' : 'seams'} in ${n.minutes(plan.minutes)} would take ${n.withBand(plan.cut_m3_s)} off; ${n.withUnit(plan.after_m3_s.mean)} (${n.leaks(plan.after_m3_s)}) would be left.`),
        el('ol', {}, plan.steps.map((step) => el('li', {}, button(step.seam, () => go(step.seam), { class: 'plain' }), ` ${words.get(step.method) || step.method}, ${n.number(step.minutes, 0)} min, ${n.withUnit(step.test_cut_m3_s.mean)} off`)))]
        : el('p', {}, halt ? 'Nothing is advised until this is settled.' : 'Nothing is worth sealing in this time.'),
      plan.look_first && plan.look_first.length && !halt ? el('p', { class: 'note' }, `Look before you seal, and leave it if nothing moves: ${plan.look_first.map(({ seam }) => seam).join(', ')}.`) : null);
  };

  const cautionsPart = () => {
    const { stops, usual } = ds.cautions.all();
    return [stops.map((text) => el('div', { class: 'stop' }, el('p', {}, el('strong', {}, 'Stop. '), text))),
      usual.length ? el('details', { data: { key: 'answers-cautions' } }, el('summary', {}, `Before you touch anything: ${usual.length} cautions`), el('ul', {}, usual.map((text) => el('li', {}, text)))) : null];
  };

  const progress = () => {
    const { busy, trouble } = ds.asking;
    const { answers, answersFor } = ds.doc;
    if (trouble) return el('p', { class: 'wrong', role: 'alert' }, trouble.title, trouble.hint ? `: ${trouble.hint}` : '', answers ? '. What stands below is from before. ' : ' ', button('Ask again', () => ds.asking.again()));
    if (!ds.doc.view.stands) return el('p', {}, ds.doc.view.faults.length ? ['No answer while something is wrong. ', answers ? 'What stands below is from before. ' : null, button('Show what is wrong', () => ds.side.show('faults'))] : 'Answers come once there is a unit and a run.');
    if (!answers) return el('p', {}, busy ? 'Working it out…' : 'No answer yet.');
    if (!answersFor) return el('p', {}, el('strong', {}, 'From before the last change.'), ' New answers are being worked out.');
    return el('p', { class: 'note' }, answersFor === 'quick' ? `First answer, from ${answers.draws} draws; a fuller one follows.` : `From ${answers.draws} draws.`);
  };

  const doubt = (allocation) => (allocation.status && allocation.status !== 'converged'
    ? el('div', { class: 'stop' }, el('p', {}, el('strong', {}, 'Doubtful answer. '), (allocation.reasons || []).map((one) => (typeof one === 'string' ? one : one.text || '')).join('; '))) : null);

  const build = () => {
    const allocation = result();
    return [el('h2', {}, 'Answers'), progress(), cautionsPart(), allocation ? [
      doubt(allocation),
      el('div', { class: old() ? 'old' : '' }, short(allocation), readingsPart(allocation), openPart(allocation), seams(allocation)),
      el('div', { class: old() ? 'old' : '' }, nextPart(), planPart()),
      allocation.warnings.length ? el('div', { class: old() ? 'old' : '' }, el('h3', {}, 'Mind'), el('ul', {}, allocation.warnings.map(({ text }) => el('li', {}, text)))) : null] : null];
  };

  const render = () => {
    if (!ds.doc.view) return;
    const panel = byId('panel-answers');
    if (!panel.hidden) ds.field.keepTyping(panel, build);
    const pick = ds.pick.get();
    if (pick && pick.kind === 'seam' && ds.side.tab === 'piece') ds.forms.render();
  };

  const start = () => {
    ds.doc.on('answers', render);
    ds.doc.on('view', render);
    ds.side.whenShown('answers', render);
  };

  return { start, ofSeam };
})();
