import { momentWords } from '../common/time.ts';
import { known, reader } from '../state.ts';

/** Says on every page that nothing that arrives can be kept, for as long as that is so. */
export function StoreNotice() {
  const store = known.value.house?.store;
  const since = store && !store.writable ? store.since : null;
  return (
    <div class="link-notice" role="status" data-testid="store-notice">
      {since != null && (
        <p>
          <strong>The record cannot be written</strong> since{' '}
          {momentWords({ atMs: Date.parse(since), ...reader.value })}: what sensors send now is not kept and
          not acknowledged. Free disk space; monitoring then continues by itself.
        </p>
      )}
    </div>
  );
}
