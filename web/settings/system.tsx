import type { HouseFacts } from '../../shared/wire/http.ts';
import { countText, type TemperatureUnit } from '../common/format.ts';
import { momentWords } from '../common/time.ts';
import { DemoSwitch } from '../frame/demo-switch.tsx';
import { SafetyWords } from '../frame/safety.tsx';
import { chooseClock, chooseUnit, clockHours, known, nowMs, reader, unit } from '../state.ts';
import { AccessSection } from './access.tsx';
import { BackupSection, roomWords } from './backups.tsx';

const UNITS: readonly { unit: TemperatureUnit; name: string }[] = [
  { unit: 'C', name: '°C' },
  { unit: 'F', name: '°F' },
];

function UnitChoice() {
  return (
    <fieldset class="units">
      <legend>Temperatures are read in</legend>
      {UNITS.map((choice) => (
        <label key={choice.unit}>
          <input
            type="radio"
            name="unit"
            checked={unit.value === choice.unit}
            onChange={() => chooseUnit(choice.unit)}
          />
          {choice.name}
        </label>
      ))}
      <p class="quiet">In this browser only. Targets are typed in the same unit, and kept in °C.</p>
    </fieldset>
  );
}

const CLOCKS = [
  { hours: 24, name: '24 hours (14:05)' },
  { hours: 12, name: '12 hours (2:05 pm)' },
] as const;

function ClockChoice() {
  return (
    <fieldset class="units">
      <legend>Times are read in</legend>
      {CLOCKS.map(({ hours, name }) => (
        <label key={hours}>
          <input
            type="radio"
            name="clock"
            checked={clockHours.value === hours}
            onChange={() => chooseClock(hours)}
          />
          {name}
        </label>
      ))}
      <p class="quiet">In this browser only. Times are typed, mailed and exported in 24 hours.</p>
    </fieldset>
  );
}

function webhookWords({ webhook }: HouseFacts): string {
  if (!webhook.set) return 'none set; set up people under People';
  const waiting = webhook.waiting === 0 ? 'nothing waiting' : `${webhook.waiting} waiting to be sent`;
  return webhook.lastError ? `set; ${waiting}; last error: ${webhook.lastError}` : `set; ${waiting}`;
}

function brokerWords({ broker }: HouseFacts): string {
  const whose = broker.embedded ? 'embedded' : 'outside';
  return `${broker.address}, ${whose}, ${broker.connected ? 'connected' : 'cannot be reached now'}`;
}

function pageWords({ page }: HouseFacts): string {
  if (page !== 'older') return '';
  return '; this page was older than its sources when Strikewell started: run npm ci, then npm start';
}

/** The installation: its clock, its broker, access, backups, the demo, and the safety notes. */
export function System() {
  const { house } = known.value;
  if (!house) return null;
  const { readings } = house;
  return (
    <div class="plain-page">
      <h1>System</h1>
      <dl class="facts">
        <dt>time zone</dt>
        <dd>
          {house.timeZone}, now {momentWords({ atMs: nowMs.value, ...reader.value })}; days and nights are
          counted in it
        </dd>
        <dt>broker</dt>
        <dd>{brokerWords(house)}</dd>
        <dt>webhook</dt>
        <dd>{webhookWords(house)}</dd>
        <dt>readings</dt>
        <dd>
          {countText(readings.received)} received ·{' '}
          <a href="#/probes">{countText(readings.refused)} messages rejected</a> ·{' '}
          {countText(readings.conflicts)} conflicts
        </dd>
        <dt>disk space</dt>
        <dd>{roomWords(house)}</dd>
        <dt>version</dt>
        <dd>
          {house.version}
          {pageWords(house)}
        </dd>
      </dl>
      <UnitChoice />
      <ClockChoice />
      <section data-testid="access">
        <h2>Access</h2>
        <AccessSection broker={house.broker} />
      </section>
      <section>
        <h2>Backups</h2>
        <BackupSection backup={house.backup} />
      </section>
      <section>
        <h2>Demo</h2>
        <DemoSwitch />
      </section>
      <section>
        <h2>Safety</h2>
        <SafetyWords />
      </section>
    </div>
  );
}
