import { useState } from 'preact/hooks';
import type { Answered } from '../../shared/routes/call.ts';
import type { RefusedPack } from '../../shared/wire/http.ts';
import { duration } from '../../shared/words/alarm.ts';
import { call } from '../api.ts';
import { ArchiveButtons } from '../archive/archive-buttons.tsx';
import { fixed, temperatureWithUnit } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { momentWords } from '../common/time.ts';
import { secondWords } from '../devices/devices.ts';
import { placeHref } from '../frame/route.ts';
import { may } from '../settings/access.ts';
import { known, nowMs, reader } from '../state.ts';
import { isSilent, probesByPlace } from './by-place.ts';
import { ChecksSection } from './checks/checks.tsx';
import { FindingsSection } from './findings.tsx';
import type { ProbeRow } from './named.ts';

const RENEW_MS = 20_000;
/** Of more probes the table is folded, place by place. */
const MOST_OPEN = 12;

function valueText(probe: ProbeRow): string {
  if (!probe.latest) return '–';
  const { value } = probe.latest;
  if (probe.unit === 'Cel' || probe.unit === '°C') return temperatureWithUnit(value, reader.value.unit);
  const decimals = Number.isInteger(value) || Math.abs(value) >= 1000 ? 0 : Math.abs(value) < 10 ? 2 : 1;
  return `${fixed(value, decimals)} ${probe.unit}`;
}

function ProbeLine({ probe, changed }: { probe: ProbeRow; changed: () => void }) {
  const [asked, setAsked] = useState(false);
  const place = known.value.places.find(({ id }) => id === probe.placeId);
  const silentMs = probe.latest ? nowMs.value - probe.latest.tMs : null;
  const stale = silentMs !== null && isSilent(probe, place, nowMs.value);
  return (
    <tr class={stale ? 'stale' : ''}>
      <th scope="row">
        {probe.device}/<wbr />
        {probe.name}
      </th>
      <td>{place ? <a href={placeHref(place.id)}>{place.name}</a> : 'unassigned'}</td>
      <td class="number">{valueText(probe)}</td>
      <td>{silentMs === null ? 'nothing yet' : `${stale ? 'stale, ' : ''}${duration(silentMs)} ago`}</td>
      <td class="number" data-label="conflicts">
        {probe.conflicts}
      </td>
      {may('archiveProbe') && (
        <td>
          {asked ? (
            <ArchiveButtons
              target={{ kind: 'probe', id: String(probe.id) }}
              name={pathOf(probe)}
              gone={changed}
            />
          ) : (
            <button type="button" aria-label={`Remove ${pathOf(probe)}`} onClick={() => setAsked(true)}>
              Remove…
            </button>
          )}
        </td>
      )}
    </tr>
  );
}

/** Devices whose name a second client seems to use; while they cannot be asked for, the table below says so. */
function SecondClients() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value } = useLoaded(`second ${round}`, () => call('listDevices'));
  return (
    <>
      {(value?.devices ?? []).map(
        ({ device, second }) =>
          second && (
            <p key={device} class="problem" data-testid="second-client">
              {device}: {secondWords(second)}
            </p>
          ),
      )}
    </>
  );
}

const pathOf = ({ device, name }: ProbeRow) => `${device}/${name}`;

function inOrder(probes: readonly ProbeRow[]): ProbeRow[] {
  return [...probes].sort((a, b) => pathOf(a).localeCompare(pathOf(b), 'en', { numeric: true }));
}

function ProbeTable() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading, reload } = useLoaded(`probes ${round}`, () => call('listProbes'));
  if (problem) return <p class="problem">The probes cannot be listed: {problem}</p>;
  if (!value) return <p class="waiting">{loading ? 'Loading probes…' : 'No answer.'}</p>;
  if (value.probes.length === 0) return <p>No probe has reported yet.</p>;
  const rows = inOrder(value.probes);
  if (rows.length <= MOST_OPEN) return <Table rows={rows} changed={reload} />;
  return <Folded rows={rows} changed={reload} />;
}

type RowsProps = { readonly rows: readonly ProbeRow[]; readonly changed: () => void };

/** The probes place by place, each place a line that unfolds; places with one that does not report come first. */
function Folded({ rows, changed }: RowsProps) {
  const groups = probesByPlace(rows, known.value.places, nowMs.value);
  return (
    <section class="probe-places">
      <h2>Probes by place</h2>
      <div class="listed">
        {groups.map(({ placeId, name, probes, silent }) => (
          <details key={placeId ?? ''}>
            <summary>
              <b>{name ?? 'Unassigned'}</b>: {reportingWords(probes.length, silent)}
            </summary>
            <Table rows={probes} changed={changed} />
          </details>
        ))}
      </div>
    </section>
  );
}

function reportingWords(all: number, silent: number): string {
  if (silent === 0) return all === 1 ? '1 probe, reporting' : `${all} probes, all reporting`;
  return `${all - silent} of ${all} ${all === 1 ? 'probe' : 'probes'} reporting`;
}

function Table({ rows, changed }: RowsProps) {
  return (
    <Scrolling name="Probes">
      <table class="stacks">
        <thead>
          <tr>
            <th scope="col">probe</th>
            <th scope="col">place</th>
            <th scope="col">newest value</th>
            <th scope="col">read</th>
            <th scope="col">
              <abbr title="a different value for a probe and time already stored; the first stays">
                conflicts
              </abbr>
            </th>
            {may('archiveProbe') && (
              <th scope="col">
                <span class="unseen">archive or delete</span>
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {rows.map((probe) => (
            <ProbeLine key={probe.id} probe={probe} changed={changed} />
          ))}
        </tbody>
      </table>
    </Scrolling>
  );
}

function Refusal({ pack }: { pack: RefusedPack }) {
  return (
    <li>
      <p>
        <b>{pack.code}</b> · {pack.reason}
      </p>
      <p class="quiet">
        {momentWords({ atMs: Date.parse(pack.time), ...reader.value })} · {pack.device ?? 'unknown device'} ·
        topic <span class="breakable">{pack.topic}</span> · {pack.bytes} bytes
        {pack.pointer !== null && pack.pointer !== '' && (
          <>
            {' '}
            · at <code>{pack.pointer}</code>
          </>
        )}
      </p>
      <details>
        <summary>What was sent</summary>
        <Scrolling as="pre" name="What was sent">
          {pack.payload || '(nothing)'}
        </Scrolling>
      </details>
    </li>
  );
}

function codesWords(answer: Answered<'listRefused'>): string {
  return Object.entries(answer.byCode)
    .sort(([, a], [, b]) => b - a)
    .map(([code, count]) => `${count} × ${code}`)
    .join(', ');
}

function RefusedList() {
  const refusedCount = known.value.house?.readings.refused ?? 0;
  const { value, problem, loading } = useLoaded(`refused ${refusedCount}`, () => call('listRefused'));
  return (
    <section>
      <h2>Rejected messages</h2>
      {problem && <p class="problem">The rejected messages cannot be loaded: {problem}</p>}
      {!value && loading && <p class="waiting">Loading rejected messages…</p>}
      {value?.total === 0 && <p>None. Every pack that came was understood.</p>}
      {value && value.total > 0 && (
        <>
          <p>
            {value.total} in all: {codesWords(value)}. Nothing of a rejected message is stored as a reading.
            To see what a device sends while you fix it, <a href="#/watch">see its live messages</a>.
          </p>
          <ol class="refused">
            {value.refused.map((pack) => (
              <Refusal key={pack.id} pack={pack} />
            ))}
          </ol>
        </>
      )}
    </section>
  );
}

/** What may be wrong with probes, what each reports and how old it is, and the messages that were rejected, with the reason. */
export function Probes() {
  return (
    <div class="plain-page broad">
      <h1>Probes</h1>
      <ul class="leads">
        <li>
          <a href="#/devices">Devices</a>: their logins, when each last reported, and condition
        </li>
        {may('watchMessages') && (
          <li>
            <a href="#/watch">Live messages</a>: every message and its result
          </li>
        )}
        {may('listMappings') && (
          <li>
            <a href="#/other">Other topics</a>: of devices that send in a form of their own
          </li>
        )}
      </ul>
      <SecondClients />
      <FindingsSection placeId={null} />
      <ProbeTable />
      <ChecksSection />
      <RefusedList />
    </div>
  );
}
