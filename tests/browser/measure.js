// Frames of three widths: what sticks out, which letterings overlap, what has no name, what can hardly be read.
addEventListener('load', () => {
  const out = [];
  const say = (frame, text) => out.push(frame.name + ', ' + frame.clientWidth + ' px: ' + text);
  const share = (byte) => { const s = byte / 255; return s <= 0.03928 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4; };
  const light = (rgb) => 0.2126 * share(rgb[0]) + 0.7152 * share(rgb[1]) + 0.0722 * share(rgb[2]);
  const rgb = (text) => text.match(/[\d.]+/g).map(Number);
  const ground = (view, element) => {
    for (let at = element; at; at = at.parentElement) {
      const colour = rgb(view.getComputedStyle(at).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const contrast = (one, two) => {
    const [a, b] = [light(one), light(two)];
    return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  };
  for (const frame of document.querySelectorAll('iframe')) {
    const doc = frame.contentDocument, view = frame.contentWindow;
    const over = doc.documentElement.scrollWidth - frame.clientWidth;
    if (over > 0) say(frame, 'the page is ' + over + ' px too wide');
    for (const svg of doc.querySelectorAll('svg')) {
      const boxes = [...svg.querySelectorAll('text')].map(t => [t.getBBox(), t]);
      boxes.forEach(([a, one], i) => boxes.slice(0, i).forEach(([b, two]) => {
        if (a.x < b.x + b.width && b.x < a.x + a.width && a.y + 1 < b.y + b.height - 1 && b.y + 1 < a.y + a.height - 1)
          say(frame, '"' + one.textContent + '" over "' + two.textContent + '"');
      }));
      for (const [, text] of boxes) {
        const ratio = contrast(rgb(view.getComputedStyle(text).fill), ground(view, svg));
        if (ratio < 4.5) say(frame, 'contrast ' + ratio.toFixed(2) + ' of "' + text.textContent + '"');
      }
      if (!svg.querySelector('title').textContent || !svg.querySelector('desc').textContent) say(frame, 'a figure without words');
    }
    for (const table of doc.querySelectorAll('table')) {
      const called = table.caption ? table.caption.textContent : '?';
      if (!table.caption || !table.caption.textContent.trim()) say(frame, 'a table without caption');
      if (!table.querySelector('thead th[scope=col]')) say(frame, 'a table without heads: ' + called);
      for (const row of table.tBodies[0].rows)
        if (!row.querySelector('th[scope=row]')) { say(frame, 'a row without head: ' + called); break; }
    }
    for (const region of doc.querySelectorAll('[role=region]'))
      if (!region.getAttribute('aria-label')) say(frame, 'a region without name');
    let level = 0;
    for (const head of doc.querySelectorAll('h1,h2,h3')) {
      const next = +head.tagName[1];
      if (next > level + 1) say(frame, 'heading skipped before ' + head.textContent);
      level = next;
    }
    const ids = [...doc.querySelectorAll('[id]')].map(e => e.id);
    if (new Set(ids).size !== ids.length) say(frame, 'an id stands twice');
    for (const link of doc.querySelectorAll('a[href^="#"]'))
      if (!doc.getElementById(link.getAttribute('href').slice(1))) say(frame, 'a link leads nowhere: ' + link.textContent);
  }
  const frames = document.querySelectorAll('iframe').length;
  document.body.innerHTML = '';
  document.title = 'measured ' + frames + ' frames, ' + out.length + ' faults: ' + out.slice(0, 20).join(' | ');
});
