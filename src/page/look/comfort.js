// Comfort only: everything works without. Progress of a batch, files dropped onto the page, the marked cell in sight.
'use strict';
(() => {
  const line = document.getElementById('progress');
  if (line && window.EventSource) {
    let batch = null;
    const events = new EventSource(line.dataset.events);
    events.addEventListener('progress', (event) => {
      const now = JSON.parse(event.data);
      if (batch === null && !now.working) { batch = now.batch; return; }
      batch = now.batch;
      line.hidden = false;
      const parts = [['filed', now.filed], ['held', now.held], ['refused', now.refused], ['known before', now.duplicate], ['waiting', now.waiting]];
      const said = parts.filter((part) => part[1] > 0).map((part) => part[1] + ' ' + part[0]).join(', ');
      line.textContent = (now.working ? 'Reading ' + now.done + ' of ' + now.files + ' reports' : 'Read: ' + now.files + ' reports') + (said ? ': ' + said : '') + '.';
      if (!now.working) {
        const again = document.createElement('a');
        again.href = location.href;
        again.textContent = 'Show the new state';
        line.append(' ', again);
      }
    });
  }
  const drop = document.getElementById('drop');
  if (drop && window.fetch && window.DataTransfer) {
    const area = drop.closest('.drop') || drop;
    const files = drop.querySelector('input[type=file]');
    for (const kind of ['dragenter', 'dragover']) {
      document.addEventListener(kind, (event) => { event.preventDefault(); area.classList.add('over'); });
    }
    document.addEventListener('dragleave', (event) => { if (!event.relatedTarget) area.classList.remove('over'); });
    document.addEventListener('drop', (event) => {
      event.preventDefault();
      area.classList.remove('over');
      if (event.dataTransfer.files.length > 0) { files.files = event.dataTransfer.files; drop.requestSubmit(); }
    });
  }
  const cell = document.querySelector('td.framed');
  const sheet = cell && cell.closest('.scroll');
  if (sheet) sheet.scrollLeft = cell.offsetLeft - (sheet.clientWidth - cell.offsetWidth) / 2;
})();
