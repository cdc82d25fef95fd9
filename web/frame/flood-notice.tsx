import { known, reader } from '../state.ts';
import { floodWords } from './flood.ts';

/** Says on every page that alarms come faster than one person can answer them, and where to begin. */
export function FloodNotice() {
  const flood = known.value.house?.flood ?? null;
  const words = flood && floodWords(flood, reader.value);
  return (
    <div class="link-notice" role="status" data-testid="flood-notice">
      {words && (
        <p>
          <strong>{words.headline}.</strong> <a href="#/alarms">{words.first}</a>. {words.detail}
        </p>
      )}
    </div>
  );
}
