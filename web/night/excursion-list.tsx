import type { ExcursionAnswer, NightRow } from '../../shared/wire/http.ts';
import { type Held, heldOf, kindsWorthSaying } from '../../shared/words/night.ts';
import { doseWords, EXCURSION_NAMES, limitWords, peakWords } from '../../shared/words/night-row.ts';
import { duration } from '../../shared/words/plain.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import type { View } from '../common/plot.ts';
import { clockTime } from '../common/time.ts';
import { reader, timeZone } from '../state.ts';

/** More of one place are no list any more. */
const MOST_LISTED = 24;

/** Those of kinds that are worth a word, and what was not seen, in the order of time. */
function listed(row: NightRow): readonly ExcursionAnswer[] {
  const kinds = new Set(kindsWorthSaying(row).map(({ kind }) => kind));
  return row.excursions.filter(({ kind }) => kind === 'no-data' || kinds.has(kind));
}

function timesWords({ from, to }: ExcursionAnswer, { toMs }: View): string {
  const at = (atMs: number) => clockTime({ atMs, timeZone: timeZone.value });
  const lasts = duration((to === null ? toMs : Date.parse(to)) - Date.parse(from));
  return to === null
    ? `since ${at(Date.parse(from))}, ${lasts}`
    : `${at(Date.parse(from))} to ${at(Date.parse(to))}, ${lasts}`;
}

function figuresWords(one: ExcursionAnswer): string[] {
  const words = [peakWords(one, reader.value), limitWords(one, reader.value), doseWords(one, reader.value)];
  const by = one.acknowledgedBy === null ? null : `acknowledged by ${one.acknowledgedBy}`;
  return [...words, by].filter((text) => text !== null);
}

/** Each excursion of a place with its times and figures. */
export function ExcursionList({ row, view }: { readonly row: NightRow; readonly view: View }) {
  const all = listed(row);
  if (all.length === 0) return null;
  return (
    <ul class="excursions">
      {all.slice(0, MOST_LISTED).map((one) => (
        <li key={`${one.kind} ${one.from}`}>
          <b>{EXCURSION_NAMES[one.kind].name}</b> {[timesWords(one, view), ...figuresWords(one)].join(' · ')}
          {one.cause && (
            <details class="cause">
              <summary>{one.cause.sentence}</summary>
              Seen: {one.cause.evidence.join('; ')}.
            </details>
          )}
        </li>
      ))}
      {all.length > MOST_LISTED && <li>{all.length - MOST_LISTED} more are on its page.</li>}
    </ul>
  );
}

/** The night as a table: for those who do not see the strips, and for copying. */
export function NightTable({ rows, view }: { readonly rows: readonly NightRow[]; readonly view: View }) {
  return (
    <details class="night-table">
      <summary>The night as a table</summary>
      <Scrolling name="The night as a table">
        <table>
          <thead>
            <tr>
              {['place', 'zone', 'what', 'when', 'furthest', 'limit', 'dose', 'acknowledged by'].map(
                (name) => (
                  <th key={name} scope="col">
                    {name}
                  </th>
                ),
              )}
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <PlaceRows key={row.placeId} row={row} view={view} />
            ))}
          </tbody>
        </table>
      </Scrolling>
    </details>
  );
}

/** What is said of a place without a stretch worth a line. */
const QUIET_WORDS: Readonly<Record<Held, string>> = {
  throughout: 'within its bands',
  'while-read': 'within its bands while there were readings',
  nearly: 'within its bands but for less than 5 min',
  left: 'beyond a limit',
  unknown: 'nothing was read',
};

function PlaceRows({ row, view }: { readonly row: NightRow; readonly view: View }) {
  const all = listed(row).slice(0, MOST_LISTED);
  const head = (
    <>
      <th scope="row">{row.name}</th>
      <td>{row.zone ?? '–'}</td>
    </>
  );
  if (all.length === 0) {
    return (
      <tr>
        {head}
        <td colSpan={6}>{QUIET_WORDS[heldOf(row)]}</td>
      </tr>
    );
  }
  return (
    <>
      {all.map((one) => (
        <tr key={`${one.kind} ${one.from}`}>
          {head}
          <td>{EXCURSION_NAMES[one.kind].name}</td>
          <td>{timesWords(one, view)}</td>
          <td>{peakWords(one, reader.value) ?? '–'}</td>
          <td>{limitWords(one, reader.value)?.replace('limit ', '') ?? '–'}</td>
          <td>{doseWords(one, reader.value) ?? '–'}</td>
          <td>{one.acknowledgedBy ?? '–'}</td>
        </tr>
      ))}
    </>
  );
}
