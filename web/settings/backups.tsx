import type { HouseFacts } from '../../shared/wire/http.ts';
import { bytesText } from '../../shared/words/bytes.ts';
import { keptWords } from '../../shared/words/kept.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { momentWords } from '../common/time.ts';
import { reader } from '../state.ts';

/** When the newest backup was made, one by hand, and how far it is. */
export function BackupSection({ backup }: Pick<HouseFacts, 'backup'>) {
  const order = useOrder();
  const { lastAt, running, progressPct, lastError } = backup;
  const last = lastAt === null ? null : momentWords({ atMs: Date.parse(lastAt), ...reader.value });
  return (
    <div class="backups">
      <p>{last === null ? 'There is no backup yet.' : `The newest proved backup was made ${last}.`}</p>
      <IfMay route="startBackup">
        <button
          type="button"
          data-testid="make-backup"
          disabled={order.busy || running}
          onClick={() => void order.run(() => call('startBackup'))}
        >
          {running ? 'Backing up…' : 'Back up now'}
        </button>
      </IfMay>
      {running && (
        <span role="status">
          {' '}
          <progress max={100} value={progressPct ?? 0} aria-label="backup made" />{' '}
          {Math.round(progressPct ?? 0)} %
        </span>
      )}
      {lastError !== null && !running && (
        <p class="problem" role="status">
          {lastError}
        </p>
      )}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </div>
  );
}

/** Room on the disk of the record, and how long it lasts at the present rate. */
export function roomWords({ room }: Pick<HouseFacts, 'room'>): string {
  const { databaseBytes, freeBytes, bytesPerDay, daysLeft, readings } = room;
  const kept = readings ? `${keptWords(readings)}; ` : '';
  const held = `${kept}${bytesText(databaseBytes)} of record, ${bytesText(freeBytes)} free`;
  if (bytesPerDay === null || daysLeft === null) return `${held}; no forecast before a day of record`;
  const full = daysLeft >= 730 ? 'full in 2 years or more' : `full in ${daysLeft} days`;
  return `${held}; ${bytesText(bytesPerDay)} more a day, ${full} with its backups`;
}
