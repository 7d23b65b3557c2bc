// Watches a lesson in the page: when a picture changed after an input, and whether one was ever missing.
// Put in before any script of the page. All times are the page's own clock, in ms.
(() => {
  const LARGE = 30000; // square pixels: smaller ones are icons
  const now = () => performance.now();
  const watch = (window.courseWatch = { on: false });
  const clear = () =>
    Object.assign(watch, { inputs: [], changes: [], frames: 0, bare: 0, jump: 0, sent: 0, got: 0, bytes: 0, last: now(), open: 0 });
  clear();

  const size = e => { const r = e.getBoundingClientRect(); return r.width * r.height; };
  const pictures = () =>
    [...document.querySelectorAll('.jp-OutputArea svg, .jp-OutputArea img')].filter(
      e => !e.parentElement.closest('svg') && size(e) > LARGE);
  const whole = e => e.tagName !== 'IMG' || (e.complete && e.naturalWidth > 0);
  const text = () => pictures().map(e => (e.tagName === 'IMG' ? e.src : e.outerHTML)).join('\n');
  const tables = () => [...document.querySelectorAll('.jp-OutputArea table')].map(t => t.textContent).join('\n');
  watch.picture = text;
  watch.tables = tables;

  for (const kind of ['keydown', 'pointermove', 'pointerup'])
    addEventListener(kind, e => { if (watch.on) watch.inputs.push([kind, e.timeStamp]); }, { capture: true, passive: true });

  // the frame that shows a change has been painted: the first task after the next animation frame
  const painted = then => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => then(now());
    channel.port2.postMessage(0);
  });
  let waiting = false;
  const changed = () => {
    if (!watch.on) return;
    watch.last = now();
    if (waiting) return;
    waiting = true;
    watch.open += 1;
    painted(at => {
      waiting = false;
      watch.open -= 1;
      watch.last = now();
      watch.changes.push([at, watch.light ? '' : text()]);
    });
  };
  const holdsPicture = n =>
    n.nodeType === 1 && (n.matches('svg,img') || n.querySelector('svg,img') || n.closest('svg'));
  const shownLater = image =>
    whole(image) ? changed() : image.addEventListener('load', changed, { once: true });
  new MutationObserver(list => {
    if (!watch.on) return;
    for (const m of list) {
      const at = m.target.nodeType === 1 ? m.target : m.target.parentElement;
      if (!at || !at.closest('.jp-OutputArea')) continue;
      // an image may be given another source in place
      if (m.type === 'attributes') { if (at.matches('img')) shownLater(at); continue; }
      for (const n of [...m.addedNodes, ...m.removedNodes]) {
        if (!holdsPicture(n)) continue;
        const image = n.nodeType === 1 && n.isConnected && (n.matches('img') ? n : n.querySelector('img'));
        if (image) shownLater(image);
        else changed();
      }
    }
  }).observe(document, { subtree: true, childList: true, attributeFilter: ['src'] });

  const frame = () => {
    if (!watch.on) return;
    watch.frames += 1;
    const there = pictures();
    if (!there.length || !there.every(whole)) watch.bare += 1;
    requestAnimationFrame(frame);
  };
  new PerformanceObserver(list => {
    for (const entry of list.getEntries()) if (watch.on) watch.jump += entry.value;
  }).observe({ type: 'layout-shift', buffered: false });

  const Socket = window.WebSocket;
  window.WebSocket = class extends Socket {
    constructor(...all) {
      super(...all);
      this.addEventListener('message', e => {
        if (!watch.on) return;
        watch.got += 1;
        watch.bytes += e.data.byteLength ?? e.data.length ?? 0;
      });
    }
    send(data) { if (watch.on) watch.sent += 1; return super.send(data); }
  };

  watch.begin = (light = false) => { clear(); watch.light = light; watch.on = true; requestAnimationFrame(frame); };
  // resolves when the picture has changed and then nothing has changed for `quiet` ms
  watch.settled = (quiet, limit, needed = true) => new Promise(done => {
    const start = now();
    const look = () => {
      const ready = (!needed || watch.changes.length) && !watch.open && now() - watch.last > quiet;
      if (!ready && now() - start < limit) { setTimeout(look, 15); return; }
      watch.on = false;
      const { inputs, changes, frames, bare, jump, sent, got, bytes } = watch;
      done({ inputs, changes, frames, bare, jump, sent, got, bytes, picture: text(), tables: tables(), late: !ready });
    };
    look();
  });
})();
