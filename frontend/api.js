/** Talks HTTP with the server. Used by controller.js alone; every answer is a value. */

// Longer than the slowest durable commit measured, shorter than a worker's patience.
const TIMEOUT_MS = 5000;

/** 32 characters from 128 random bits: the token of one action. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/**
 * `{ status, body }`, or null where no answer came (network down, or out of time).
 * An aborted `signal` throws AbortError: the caller wants no answer any more.
 */
async function ask(path, { signal, timeoutMs = TIMEOUT_MS, ...options } = {}) {
  const timeout = AbortSignal.timeout(timeoutMs);
  try {
    const response = await fetch(`/api${path}`, {
      cache: 'no-store',
      credentials: 'same-origin',
      ...options,
      signal: signal ? AbortSignal.any([signal, timeout]) : timeout,
    });
    return { status: response.status, body: await response.json() };
  } catch (error) {
    if (signal?.aborted) throw error;
    return null;
  }
}

export const get = (path, options) => ask(path, options);

export const post = (path, body, { key = newKey(), ...options } = {}) =>
  ask(path, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', 'Idempotency-Key': key },
    body: JSON.stringify(body),
    ...options,
  });

/** Whether the server has this paper to show; false as well where it cannot be asked. */
export async function hasPaper(path) {
  try {
    const response = await fetch(`/api${path}`, { credentials: 'same-origin', cache: 'no-store' });
    await response.body?.cancel();
    return response.ok;
  } catch {
    return false;
  }
}

/** The words of one part of the page in one language; throws where they cannot be had. */
export async function getWords(language, part) {
  const response = await fetch(`/words/${language}/${part}.json`);
  if (!response.ok) throw new TypeError(`no words of ${part} in ${language}: ${response.status}`);
  return response.json();
}

/**
 * What happens at other tables, as it happens, and that a laptop which follows has turned. Returns
 * the function that stops listening. `onBegan`: from here on, once more after each loss.
 */
export function listen({ onBegan, onEntry, onLost, onTurn }) {
  const source = new EventSource('/api/log/live');
  source.addEventListener('open', onBegan);
  source.addEventListener('entry', (event) => onEntry(JSON.parse(event.data)));
  source.addEventListener('standby', onTurn);
  source.addEventListener('error', () => onLost(source.readyState === EventSource.CLOSED));
  return () => source.close();
}
