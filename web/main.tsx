import { render } from 'preact';
import { signInNeeded } from './api.ts';
import { startLink } from './frame/link.ts';
import { routeOf } from './frame/route.ts';
import { keepShell } from './frame/shell.ts';
import { askAccess, onSignIn, signedOut } from './settings/access.ts';
import { keepLastState, link, receive, route, tick } from './state.ts';
import './styles/colours.css';
import './styles/base.css';
import './styles/frame.css';
import './styles/benches.css';
import './styles/section.css';
import './styles/pages.css';
import './night/night.css';
import './night/night-print.css';
import './wall/wall.css';
import './several/several.css';
import './styles/record.css';
import './styles/forms.css';
import './styles/people.css';
import './styles/span.css';
import './styles/plain.css';
import './styles/access.css';
import './styles/foreign-messages.css';
import './styles/devices.css';
import './styles/checks.css';
import './batches/batches.css';
import './sheets/sheets.css';
import './diary/diary.css';
import './forecast/forecast.css';
import './light/light.css';
import { followLive, refreshIdlePlaces, renewOldTraces } from './bench/traces.ts';
import { App } from './frame/app.tsx';
import { loadScreens, screens } from './frame/screens/load-screens.ts';

/** By then the benches are drawn, ms. */
const FETCH_SCREENS_AFTER_MS = 3_000;

const page = document.getElementById('page');
if (page) render(<App />, page);

/** Until the screen is there, the one before stays. */
async function follow(): Promise<void> {
  const { page: wanted } = routeOf(location.hash, location.pathname);
  if (wanted !== 'benches' && typeof screens.value !== 'function') await loadScreens();
  // by then somebody may have gone on
  route.value = routeOf(location.hash, location.pathname);
  renewOldTraces();
}
window.addEventListener('hashchange', () => void follow());
if (route.value.page !== 'benches') void loadScreens();
// then the other screens need not be waited for
else window.setTimeout(() => void loadScreens(), FETCH_SCREENS_AFTER_MS);
window.setInterval(tick, 1_000);
window.setInterval(renewOldTraces, 30_000);
window.setInterval(refreshIdlePlaces, 30_000);
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'hidden') keepLastState();
});
const live = startLink({
  mayTry: () => !signedOut.value,
  onRefused: () => void askAccess(),
  onState: (state) => {
    link.value = state;
  },
  onMessage: (message) => {
    receive(message);
    followLive(message);
  },
});
onSignIn(live.connect);
signInNeeded.addEventListener('ring', () => void askAccess());
void askAccess();
void keepShell();
