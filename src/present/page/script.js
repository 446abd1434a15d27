'use strict';
(() => {
  const root = document.documentElement;
  const room = document.getElementById('room');
  room.addEventListener('click', () => {
    const dark = root.dataset.room !== 'dark';
    root.dataset.room = dark ? 'dark' : 'light';
    room.setAttribute('aria-pressed', String(dark));
    document.getElementById('room-caution').hidden = !dark;
  });

  const largest = 12;
  for (const stage of document.querySelectorAll('.stage')) {
    const sheet = stage.querySelector('.sheet');
    const view = {scale: 1, x: 0, y: 0};

    const show = () => {
      const box = stage.getBoundingClientRect();
      view.x = Math.min(0, Math.max(box.width * (1 - view.scale), view.x));
      view.y = Math.min(0, Math.max(box.height * (1 - view.scale), view.y));
      sheet.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
      stage.dataset.zoom = view.scale > 1 ? 'on' : 'off';
    };
    const zoom = (factor, atX, atY) => {
      const scale = Math.min(largest, Math.max(1, view.scale * factor));
      view.x = atX - (atX - view.x) * scale / view.scale;
      view.y = atY - (atY - view.y) * scale / view.scale;
      view.scale = scale;
      show();
    };
    const zoomAtCentre = (factor) => {
      const box = stage.getBoundingClientRect();
      zoom(factor, box.width / 2, box.height / 2);
    };
    const actions = {
      closer: () => zoomAtCentre(1.5),
      farther: () => zoomAtCentre(1 / 1.5),
      whole: () => { view.scale = 1; view.x = 0; view.y = 0; show(); },
    };
    const tools = stage.parentElement.querySelector('.tools');
    for (const [name, act] of Object.entries(actions)) {
      tools.querySelector(`[data-do="${name}"]`).addEventListener('click', act);
    }
    const outlines = tools.querySelector('[data-do="outlines"]');
    outlines.addEventListener('click', () => {
      const on = outlines.getAttribute('aria-pressed') !== 'true';
      outlines.setAttribute('aria-pressed', String(on));
      sheet.querySelector('svg').style.visibility = on ? 'visible' : 'hidden';
    });

    stage.addEventListener('wheel', (event) => {
      if (!event.ctrlKey && view.scale === 1) return;
      event.preventDefault();
      const box = stage.getBoundingClientRect();
      zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, event.clientX - box.left, event.clientY - box.top);
    }, {passive: false});

    const fingers = new Map();
    stage.addEventListener('pointerdown', (event) => {
      fingers.set(event.pointerId, event);
      if (view.scale > 1) stage.setPointerCapture(event.pointerId);
    });
    stage.addEventListener('pointermove', (event) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      if (fingers.size === 2) {
        const [other] = [...fingers.values()].filter((f) => f.pointerId !== event.pointerId);
        const apart = (a, b) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
        const box = stage.getBoundingClientRect();
        zoom(apart(event, other) / Math.max(1, apart(before, other)),
             (event.clientX + other.clientX) / 2 - box.left, (event.clientY + other.clientY) / 2 - box.top);
      } else if (view.scale > 1) {
        view.x += event.clientX - before.clientX;
        view.y += event.clientY - before.clientY;
        show();
      }
      fingers.set(event.pointerId, event);
    });
    for (const end of ['pointerup', 'pointercancel']) {
      stage.addEventListener(end, (event) => fingers.delete(event.pointerId));
    }

    const step = 60;
    const keys = {
      '+': actions.closer, '=': actions.closer, '-': actions.farther, '0': actions.whole,
      ArrowLeft: () => { view.x += step; show(); }, ArrowRight: () => { view.x -= step; show(); },
      ArrowUp: () => { view.y += step; show(); }, ArrowDown: () => { view.y -= step; show(); },
    };
    stage.addEventListener('keydown', (event) => {
      const act = keys[event.key];
      if (!act || (event.key.startsWith('Arrow') && view.scale === 1)) return;
      event.preventDefault();
      act();
    });
  }
})();
