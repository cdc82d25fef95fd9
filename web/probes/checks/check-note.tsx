import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { nowMs, reader } from '../../state.ts';
import { namedOf } from '../named.ts';
import { placeCheckWords } from './check-words.ts';

const RENEW_MS = 60_000;

/** Which probes of a place are in a check just now, and which are corrected; nothing where neither is. */
export function CheckNote({ placeId }: { placeId: string }) {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const checks = useLoaded(`checks at ${placeId} ${round}`, () => call('listChecks'));
  const probes = useLoaded(`probes at ${placeId} ${round}`, () => call('listProbes'));
  if (!checks.value || !probes.value) return null;
  const named = namedOf(
    probes.value.probes.filter((probe) => probe.placeId === placeId),
    reader.value.unit,
  );
  const words = placeCheckWords(checks.value, named);
  if (words === '') return null;
  return (
    <p class="quiet" data-testid="check-note">
      {words} <a href="#/probes">Checks and corrections</a>
    </p>
  );
}
