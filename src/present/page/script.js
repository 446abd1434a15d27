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
    for (const end of ['pointerup', 'pointercancel', 'pointerleave']) {
      stage.addEventListener(end, (event) => fingers.delete(event.pointerId));
    }
    stage.addEventListener('dragstart', (event) => event.preventDefault());

    const step = 60;
    const keys = {
      '+': actions.closer, '=': actions.closer, '-': actions.farther, '0': actions.whole,
      ArrowLeft: () => { view.x += step; show(); }, ArrowRight: () => { view.x -= step; show(); },
      ArrowUp: () => { view.y += step; show(); }, ArrowDown: () => { view.y -= step; show(); },
    };
    stage.addEventListener('keydown', (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const act = keys[event.key];
      if (!act || (event.key.startsWith('Arrow') && view.scale === 1)) return;
      event.preventDefault();
      act();
    });
  }

  // Two plates on one another: both pictures are already in the page, the earlier one is bent onto the later.
  const slider = document.querySelector('.slider');
  if (slider) {
    const pair = slider.querySelector('select');
    const place = slider.querySelector('input');
    const both = slider.querySelector('.both');
    const earlier = both.querySelector('.earlier');
    const line = both.querySelector('.line');
    const first = new Image();
    const second = new Image();
    first.alt = second.alt = '';
    earlier.append(first);
    both.prepend(second);

    const pictureOf = (plate) => document.getElementById(`plate-${plate}-picture`);
    const unitsOf = (plate) => pictureOf(plate).dataset.units.split(' ').map(Number);
    const divide = () => {
      earlier.style.clipPath = `inset(0 ${100 - place.value}% 0 0)`;
      line.style.left = `${place.value}%`;
      place.setAttribute('aria-valuetext', place.dataset.says.replace('{0}', place.value));
    };
    const lay = () => {
      const {from, to} = pair.selectedOptions[0].dataset;
      const [a, b, c, d, e, f, g, h, i] = pair.value.split(' ').map(Number);
      const pxPerUnit = both.clientWidth / unitsOf(to)[0];
      first.style.width = `${unitsOf(from)[0] * pxPerUnit}px`;
      first.style.height = `${unitsOf(from)[1] * pxPerUnit}px`;
      first.style.transform = `matrix3d(${[a, d, 0, g / pxPerUnit, b, e, 0, h / pxPerUnit, 0, 0, 1, 0,
                                           c * pxPerUnit, f * pxPerUnit, 0, i]})`;
    };
    const choose = () => {
      const {from, to} = pair.selectedOptions[0].dataset;
      first.src = pictureOf(from).src;
      second.src = pictureOf(to).src;
      const [width, height] = unitsOf(to);
      both.style.aspectRatio = `${width} / ${height}`;
      slider.style.maxWidth = `min(48rem, calc(80vh * ${width / height}))`;
      both.setAttribute('aria-label', `${slider.querySelector('label').textContent} ${pair.selectedOptions[0].text}`);
      lay();
    };
    const follow = (event) => {
      const box = both.getBoundingClientRect();
      place.value = Math.round(100 * (event.clientX - box.left) / box.width);
      divide();
    };
    both.addEventListener('pointerdown', (event) => { both.setPointerCapture(event.pointerId); follow(event); });
    both.addEventListener('pointermove', (event) => { if (both.hasPointerCapture(event.pointerId)) follow(event); });
    pair.addEventListener('change', choose);
    place.addEventListener('input', divide);
    slider.hidden = false;
    choose();
    divide();
    new ResizeObserver(lay).observe(both);
  }
})();
