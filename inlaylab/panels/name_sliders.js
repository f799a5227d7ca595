(function (start) {
  // A slider's handle carries no name of its own: give it its label's, now and whenever one is drawn later.
  const panel = start.closest('.inlaylab-panel') || document.body;
  const name = () => panel.querySelectorAll('.widget-slider').forEach((slider) => {
    const label = slider.querySelector('.widget-label, label');
    slider.querySelectorAll('[role=slider]').forEach((handle) => {
      if (label) handle.setAttribute('aria-label', label.textContent);
    });
    const readout = slider.querySelector('.widget-readout');
    if (label && readout) { readout.setAttribute('aria-label', label.textContent + ', typed'); readout.setAttribute('role', 'textbox'); }
  });
  name();
  new MutationObserver(name).observe(panel, { childList: true, subtree: true });
})(this)
