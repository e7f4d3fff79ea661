/**
 * Lets this browser in as a station, with the code from the lead's screen. Stands alone: until
 * then the server sends nothing else of the page. Nothing personal is on it.
 */

const form = document.querySelector('form');
const problem = document.getElementById('problem');
const languages = [...document.querySelectorAll('#languages button')];
// Sent again with the same key, a code that was used stays good for this browser and this name.
let key = crypto.randomUUID();
let words = {};
let isBusy = false;
let told = null;

async function speak(language) {
  const response = await fetch(`/words/${language}/join.json`);
  words = (await response.json()).join;
  document.documentElement.lang = language;
  for (const place of document.querySelectorAll('[data-words]')) {
    place.textContent = words[place.dataset.words];
  }
  for (const button of languages) button.setAttribute('aria-pressed', String(button.lang === language));
  document.getElementById('languages').setAttribute('aria-label', words.language);
  if (told) tell(told);
}

/** `field` is what is to be mended; without one the problem itself gets the focus. */
function tell(code, field) {
  told = code;
  problem.textContent = words[code] ?? words.unknown;
  problem.hidden = false;
  for (const input of form.querySelectorAll('input')) {
    if (input === field) input.setAttribute('aria-invalid', 'true');
    else input.removeAttribute('aria-invalid');
  }
  (field ?? problem).focus();
}

const FIELD_OF = { 'join-code-wrong': 'code', 'code-missing': 'code', 'already-there': 'station', 'station-missing': 'station' };

const refuse = (code) => tell(code, form.elements[FIELD_OF[code]]);

async function join(event) {
  event.preventDefault();
  if (isBusy) return;
  const { code, station } = form.elements;
  if (!code.value.trim()) return refuse('code-missing');
  if (!station.value.trim()) return refuse('station-missing');
  isBusy = true;
  try {
    const response = await fetch('/api/join', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', 'Idempotency-Key': key },
      body: JSON.stringify({ code: code.value, station: station.value }),
    });
    const answer = await response.json();
    // With a key that has let a station in already no other code and name is ever good.
    if (answer.code === 'join-code-wrong') key = crypto.randomUUID();
    if (!response.ok) return refuse(answer.code);
    localStorage.setItem('station', answer.station);
    location.replace('/');
  } catch {
    refuse('unreachable');
  } finally {
    isBusy = false;
  }
}

form.addEventListener('submit', join);
for (const button of languages) {
  button.addEventListener('click', () => {
    localStorage.setItem('language', button.lang);
    speak(button.lang);
  });
}
const spoken = localStorage.getItem('language') ?? navigator.language.slice(0, 2);
speak(languages.some(({ lang }) => lang === spoken) ? spoken : 'en').then(() => form.elements.code.focus());
