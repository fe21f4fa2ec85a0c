// Moving by handles: where a branch leaves, where a bend stands, how long the last length is.
/* global ds */
ds.moving = (() => {
  const runs = () => ds.doc.view.runs;

  /** Shows where a handle would come to; keeps it in the action. */
  function show(action, p) {
    const to = ds.camera.toWorld(...p);
    action.made = action.grip.what === 'takeoff' ? leaves(action.grip, to, p) : reaches(action.grip, to);
    ds.drawing.setPreview(action.made ? { ...action.made, finger: p } : null);
  }

  function leaves(grip, to, p) {
    const { scene } = ds.drawing;
    const on = runs()[grip.run].on_run;
    const spot = ds.scene.project(scene.runs[on], to);
    if (!spot) return null;
    const along = Math.min(scene.runs[on].length, ds.snap.round(spot.along, ds.snap.alongStep()));
    const at = ds.scene.pointAt(scene.runs[on], along);
    const was = ds.acts.faceOf(grip.run);
    let face = was;
    const q = ds.camera.toBoard(at.at);
    if ((was === 'left' || was === 'right') && Math.hypot(p[0] - q[0], p[1] - q[1]) > 30) {
      const left = ds.snap.turned(at.leg.dir, 90);
      face = left[0] * (to[0] - at.at[0]) + left[1] * (to[1] - at.at[1]) > 0 ? 'left' : 'right';
    }
    const out = face === 'right' ? ds.snap.turned(at.leg.dir, -90) : ds.snap.turned(at.leg.dir, 90);
    return { along, face, from: at.at, to: at.at.map((x, k) => x + 0.6 * out[k]), words: `leaves ${runs()[on].id} at ${ds.snap.say(along)} ${face || ''}`, width: ds.scene.widthOf(scene, grip.run, 0) };
  }

  function reaches(grip, to) {
    const { leg } = grip;
    const step = ds.snap.lengthStep(ds.camera.scale);
    const t = (to[0] - leg.a[0]) * leg.dir[0] + (to[1] - leg.a[1]) * leg.dir[1];
    const length = Math.max(step, ds.snap.round(t, step));
    const parts = runs()[grip.run].steps[grip.step].parts;
    if (!parts || parts.kind !== 'straight') return null;
    return { length, from: leg.a, to: leg.a.map((x, k) => x + length * leg.dir[k]), words: `${ds.snap.say(length)} ${ds.snap.headingWords(leg.dir)}`, width: ds.scene.widthOf(ds.drawing.scene, grip.run, grip.step) };
  }

  function commit(action) {
    const { grip, made } = action;
    if (!made) return;
    if (grip.what === 'takeoff') ds.acts.setFrom(grip.run, ds.snap.say(made.along), made.face);
    else ds.acts.setLength(grip.run, grip.step, { m: made.length, text: ds.snap.say(made.length) });
  }

  return { show, commit };
})();
