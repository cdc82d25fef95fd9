// The page behind the link of a message works without this. With it the button says at once that the answer is on its
// way, and what did not get through is said here, where the person looks, and not on a page of the browser's.
const SLOW_AFTER_MS = 4_000;
const GIVE_UP_AFTER_MS = 30_000;

document.addEventListener('submit', (event) => {
  const form = event.target;
  if (!form.dataset.pending) return;
  event.preventDefault();
  void send(form);
});

async function send(form) {
  const button = form.querySelector('button');
  const problem = form.querySelector('.problem');
  if (button.getAttribute('aria-disabled') === 'true') return;
  const words = button.textContent;
  button.textContent = form.dataset.pending;
  button.setAttribute('aria-disabled', 'true');
  problem.textContent = '';
  const slow = setTimeout(() => {
    problem.textContent = form.dataset.slow;
  }, SLOW_AFTER_MS);
  try {
    const answer = await fetch(location.href, {
      method: 'POST',
      headers: { accept: 'text/html' },
      signal: AbortSignal.timeout(GIVE_UP_AFTER_MS),
    });
    const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
    const main = page.querySelector('main');
    if (main === null) throw new Error('no page');
    document.querySelector('main').replaceWith(main);
    main.querySelector('[role=status]')?.scrollIntoView({ block: 'nearest' });
  } catch {
    problem.textContent = form.dataset.failed;
    button.textContent = words;
    button.removeAttribute('aria-disabled');
  } finally {
    clearTimeout(slow);
  }
}
