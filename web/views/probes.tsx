import { useState } from 'preact/hooks';
import type { RefusedPack } from '../../shared/wire/http.ts';
import { duration } from '../../shared/words/alarm.ts';
import { may } from '../access.ts';
import { api, type ProbeRow, type RefusedAnswer } from '../api.ts';
import { devicesApi } from '../devices-api.ts';
import { secondWords } from '../state/devices.ts';
import { fixed, temperatureWithUnit } from '../state/format.ts';
import { placeHref } from '../state/route.ts';
import { momentWords } from '../state/time.ts';
import { known, nowMs, reader } from '../state.ts';
import { ArchiveButtons } from './archive-buttons.tsx';
import { ChecksSection } from './checks.tsx';
import { FindingsSection } from './findings.tsx';
import { useLoaded } from './hooks.ts';

const RENEW_MS = 20_000;

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
  const stale = silentMs !== null && silentMs > (place?.settings.maxGapMs ?? 900_000);
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
      {may('post /api/v1/probes/{id}/archive') && (
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

/** Devices behind which a second client seems to stand; while they cannot be asked for, the table below says so. */
function SecondClients() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value } = useLoaded(`second ${round}`, devicesApi.all);
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
  const { value, problem, loading, reload } = useLoaded(`probes ${round}`, api.probes);
  if (problem) return <p class="problem">The probes cannot be listed: {problem}</p>;
  if (!value) return <p class="waiting">{loading ? 'Asking for the probes…' : 'No answer.'}</p>;
  if (value.probes.length === 0) return <p>No probe has told anything yet.</p>;
  return (
    <div class="wide">
      <table class="stacks">
        <thead>
          <tr>
            <th scope="col">probe</th>
            <th scope="col">place</th>
            <th scope="col">newest value</th>
            <th scope="col">told</th>
            <th scope="col">
              <abbr title="a different value for a probe and time already stored; the first stays">
                conflicts
              </abbr>
            </th>
            {may('post /api/v1/probes/{id}/archive') && (
              <th scope="col">
                <span class="unseen">archive or delete</span>
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {inOrder(value.probes).map((probe) => (
            <ProbeLine key={probe.id} probe={probe} changed={reload} />
          ))}
        </tbody>
      </table>
    </div>
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
        <pre>{pack.payload || '(nothing)'}</pre>
      </details>
    </li>
  );
}

function codesWords(answer: RefusedAnswer): string {
  return Object.entries(answer.byCode)
    .sort(([, a], [, b]) => b - a)
    .map(([code, count]) => `${count} × ${code}`)
    .join(', ');
}

function RefusedList() {
  const refusedCount = known.value.house?.readings.refused ?? 0;
  const { value, problem, loading } = useLoaded(`refused ${refusedCount}`, api.refused);
  return (
    <section>
      <h2>Refused packs</h2>
      {problem && <p class="problem">The refused packs cannot be listed: {problem}</p>}
      {!value && loading && <p class="waiting">Asking for the refused packs…</p>}
      {value?.total === 0 && <p>None. Every pack that came was understood.</p>}
      {value && value.total > 0 && (
        <>
          <p>
            {value.total} in all: {codesWords(value)}. Nothing of a refused pack is stored as a reading. To
            see what a device sends while you mend it, <a href="#/watch">watch it speak</a>.
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

/** What speaks against probes, what each tells and how old it is, and the packs that were refused, with the reason. */
export function Probes() {
  return (
    <div class="plain-page">
      <h1>Probes</h1>
      <ul class="leads">
        <li>
          <a href="#/devices">Devices</a>: their logins, when each was heard, and how it fares
        </li>
        {may('post /api/v1/watch') && (
          <li>
            <a href="#/watch">Live messages</a>: every message and its result
          </li>
        )}
        {may('get /api/v1/mappings') && (
          <li>
            <a href="#/other">Other messages</a>: of devices that send in a form of their own
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
