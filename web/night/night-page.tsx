import type { Night } from '../../shared/wire/http.ts';
import { heldOf } from '../../shared/words/night.ts';
import { leadWords } from '../../shared/words/night-lead.ts';
import { markOf } from '../../shared/words/night-row.ts';
import { duration } from '../../shared/words/plain.ts';
import { addressOf } from '../api.ts';
import type { View } from '../common/plot.ts';
import { calendarDay, clockTime, weekday } from '../common/time.ts';
import { nowMs, timeZone } from '../state.ts';
import { NightTable } from './excursion-list.tsx';
import { NightRowView } from './night-row.tsx';
import { NightAxis } from './night-strip.tsx';
import { NightQuestions } from './questions.tsx';
import { arranged, dateAfter, type Zone } from './rows.ts';
import { useNight } from './use-night.ts';

const PAPERS = [
  { paper: 'a4', name: 'A4' },
  { paper: 'letter', name: 'Letter' },
] as const;

const href = (date: string) => `#/night/${date}`;

/** Which morning is shown, and the ways to others. */
function Mornings({ date, today }: { readonly date: string; readonly today: string }) {
  return (
    <nav class="mornings" aria-label="Mornings">
      <a href={href(dateAfter(date, -1))} aria-label="The night before">
        ‹
      </a>
      <label>
        <span class="unseen">Morning of</span>
        <input
          type="date"
          value={date}
          max={today}
          required
          onChange={({ currentTarget: { value } }) => {
            if (value !== '' && value <= today) location.hash = href(value);
          }}
        />
      </label>
      {date < today ? (
        <a href={href(dateAfter(date, 1))} aria-label="The night after">
          ›
        </a>
      ) : (
        <span aria-hidden="true">›</span>
      )}
      {date !== today && <a href="#/night">last night</a>}
    </nav>
  );
}

function spanWords({ from, to }: Night): string {
  const at = (iso: string) => ({ atMs: Date.parse(iso), timeZone: timeZone.value });
  const day = (iso: string) => `${weekday(at(iso))} ${calendarDay(at(iso))}`;
  return `${day(from)} ${clockTime(at(from))} to ${day(to)} ${clockTime(at(to))}`;
}

function zoneName({ name }: Zone, zones: readonly Zone[]): string {
  return name ?? (zones.length === 1 ? 'Need no attention' : 'No zone');
}

function Rows({ night, isToday }: { readonly night: Night; readonly isToday: boolean }) {
  const view: View = { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  const { loud, full, zones } = arranged(night.places);
  const list = (rows: Night['places']) => (
    <ol>
      {rows.map((row) => (
        <NightRowView
          key={row.placeId}
          row={row}
          view={view}
          full={full.has(row.placeId)}
          isToday={isToday}
        />
      ))}
    </ol>
  );
  return (
    <>
      <div class="night-columns" aria-hidden="true">
        <span class="strip">
          <NightAxis view={view} timeZone={timeZone.value} />
        </span>
        <span class="peak">furthest</span>
        <span class="dose">dose</span>
        <span class="night-say">what happened, what to do</span>
      </div>
      {loud.length > 0 && (
        <section>
          <h2 class="unseen">Out of their bands, worst first</h2>
          {list(loud)}
        </section>
      )}
      {zones.map((zone) => (
        <section key={zone.name ?? ''}>
          <h2>
            {zoneName(zone, zones)}{' '}
            <small>
              {zone.rows.length} of {zone.of} need no attention
            </small>
          </h2>
          {list(zone.rows)}
        </section>
      ))}
      <Key />
      <NightQuestions night={night} view={view} />
      <NightTable rows={night.places} view={view} />
    </>
  );
}

/** What the marks and hatches mean. */
function Key() {
  const swatch = (name: string) => (
    <svg width="26" height="12" aria-hidden="true">
      <rect class={name} x="1" y="1" width="24" height="10" />
    </svg>
  );
  return (
    <p class="night-key">
      <span>three ribbons: air, leaf, root zone</span>
      <span>{swatch('excursion above')} above</span>
      <span>{swatch('excursion below')} below; in the tall rows its area is the dose</span>
      <span>{swatch('hole')} nothing read</span>
      <span>{swatch('night')} night</span>
    </p>
  );
}

/** The night at every place: what happened since the evening, worst first, who answered, and what to do next. */
export function NightPage({ date }: { readonly date: string | null }) {
  const { night, today, wanted, problem, isOld } = useNight(date);
  const isToday = wanted === today;
  const marked = night?.places.map((row) => ({ name: row.name, mark: markOf(row), held: heldOf(row) })) ?? [];
  const lead = leadWords(marked, isToday);
  return (
    <div class="night-page" data-testid="night-page">
      <header>
        <h1>The night</h1>
        <Mornings date={wanted} today={today} />
        {night && <p class="night-span">{spanWords(night)}</p>}
        {night && (
          <p class="night-papers">
            PDF:{' '}
            {PAPERS.map(({ paper, name }) => (
              <a key={paper} href={addressOf('getNightPdf', { query: { date: night.date, paper } })}>
                {name}
              </a>
            ))}
          </p>
        )}
      </header>
      {night && isOld && (
        <p class="night-age" role="status">
          As it was {duration(Math.max(0, nowMs.value - Date.parse(night.madeAt)))} ago
          {problem !== null && `: ${problem}`}
        </p>
      )}
      {!night && problem !== null && <p class="problem">The night cannot be shown: {problem}</p>}
      {!night && problem === null && (
        <p class="waiting" role="status">
          Loading the night…
        </p>
      )}
      {night && night.places.length === 0 && (
        <p class="waiting">
          There is no place yet. <a href="#/">Connect a sensor first.</a>
        </p>
      )}
      {night && night.places.length > 0 && (
        <>
          <p class="night-lead">
            {lead.urgent && <strong class="urgent">{lead.urgent}</strong>} {lead.rest}
          </p>
          <Rows night={night} isToday={isToday} />
        </>
      )}
    </div>
  );
}
