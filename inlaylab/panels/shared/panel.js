// What the notebook around a panel gets wrong for people who work by keyboard or screen reader, and the panel's width.
(function begin(start, tries) {
  const panel = start.closest('.inlaylab-panel');
  if (!panel) { if (tries > 0) setTimeout(() => begin(start, tries - 1), 50); return; }
  const give = (node, name, value) => { if (node.getAttribute(name) !== value) node.setAttribute(name, value); };
  const mend = () => {
    // Keys pressed on a list or button belong to it, not to the notebook's own commands ("d d" deletes a cell).
    panel.querySelectorAll('select, button, input, [role=slider], [tabindex]').forEach((node) => {
      give(node, 'data-lm-suppress-shortcuts', 'true');
    });
    // A slider's handle carries no name of its own: give it its label's.
    panel.querySelectorAll('.widget-slider').forEach((slider) => {
      const label = slider.querySelector('.widget-label, label');
      const words = label ? label.textContent : '';
      slider.querySelectorAll('[role=slider]').forEach((handle) => give(handle, 'aria-label', words));
      slider.querySelectorAll('.widget-readout').forEach((typed) => {
        give(typed, 'aria-label', words + ', typed');
        give(typed, 'role', 'textbox');
      });
    });
  };
  // Pictures are drawn for the room they get: write it into the unseen field that the kernel reads.
  let waiting = 0;
  const measure = () => {
    const field = panel.querySelector('.inlaylab-width input');
    const room = String(Math.floor((panel.clientWidth - 44) / 10) * 10);
    if (!field || panel.clientWidth < 200 || field.value === room) return;
    field.value = room;
    field.dispatchEvent(new Event('change', { bubbles: true }));
  };
  new ResizeObserver(() => { clearTimeout(waiting); waiting = setTimeout(measure, 150); }).observe(panel);
  // A field that was typed in and not left yet is taken as it stands after a pause, so that its draft is kept, too.
  const pauses = new WeakMap();
  panel.addEventListener('input', (event) => {
    const field = event.target;
    if (!field.matches('input[type="text"], textarea') || field.closest('.inlaylab-width')) return;
    clearTimeout(pauses.get(field));
    pauses.set(field, setTimeout(() => field.dispatchEvent(new Event('change', { bubbles: true })), 1500));
  });
  // Leaving a field shows what it was understood as, which can move a button away under the finger that presses it:
  // what was pressed and let go without moving the mouse is clicked all the same.
  panel.addEventListener('pointerdown', (event) => {
    const pressed = event.target.closest('button, label, summary, input[type="checkbox"]');
    if (!pressed || event.button !== 0 || event.pointerType !== 'mouse') return;
    let clicked = false;
    const count = (click) => { clicked = clicked || pressed.contains(click.target); };
    window.addEventListener('click', count, true);
    window.addEventListener('pointerup', (end) => {
      const still = Math.hypot(end.clientX - event.clientX, end.clientY - event.clientY) < 5;
      setTimeout(() => {
        window.removeEventListener('click', count, true);
        if (!clicked && still && pressed.isConnected) pressed.click();
      });
    }, { once: true, capture: true });
  }, true);
  // The second click of a double click is no second order: one record, not two. Undo and redo may be pressed quickly.
  panel.addEventListener('click', (event) => {
    const pressed = event.target.closest('button');
    if (pressed && event.detail > 1 && !pressed.classList.contains('inlaylab-again')) event.stopImmediatePropagation();
  }, true);
  // A click on a place of a picture chooses its line in the list beside it.
  panel.addEventListener('click', (event) => {
    const place = event.target.closest('[data-inlaylab-pick]');
    const list = place && panel.querySelector('.inlaylab-picks select');
    if (!list) return;
    list.selectedIndex = Number(place.dataset.inlaylabPick);
    list.dispatchEvent(new Event('change', { bubbles: true }));
    list.focus({ preventScroll: true });
  });
  // A link to a file beside the notebook: its address hangs on where this page stands.
  panel.addEventListener('click', (event) => {
    const link = event.target.closest('a[data-inlaylab-file]');
    if (!link) return;
    const told = document.getElementById('jupyter-config-data');
    const base = (told ? JSON.parse(told.textContent).baseUrl : '') || '/';
    const place = location.pathname.match(/\/(?:tree|render)\/(.*)$/);
    const folder = place && place[1].includes('/') ? place[1].slice(0, place[1].lastIndexOf('/') + 1) : '';
    const files = location.pathname.includes('/voila/') ? 'voila/files/' : 'files/';
    link.href = base + files + folder + encodeURIComponent(link.dataset.inlaylabFile);
  }, true);
  mend();
  new MutationObserver(mend).observe(panel, { childList: true, subtree: true });
})(this, 100);
