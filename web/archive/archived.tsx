import { useState } from 'preact/hooks';
import type { ArchiveItemView } from '../../shared/wire/lifecycle.ts';
import { addressOf, call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { may } from '../settings/access.ts';
import { known, nowMs, reader, say } from '../state.ts';
import { archiveWords, contentsWords, leftOutWords } from './lifecycle.ts';
import { newestArchived } from './lifecycle-api.ts';

const RENEW_MS = 20_000;

/** What was archived or deleted: until when it can be restored, and its record meanwhile. */
export function Archived() {
  const [parts, setParts] = useState(1);
  const items = known.value.house?.archive?.items ?? 0;
  const round = Math.floor(nowMs.value / RENEW_MS);
  const key = `archive ${items} ${parts} ${round}`;
  const { value, problem, loading, reload } = useLoaded(key, () => newestArchived(parts));
  return (
    <div class="plain-page devices-page">
      <h1>Archived</h1>
      <p>
        Places, probes and devices that were archived or deleted. They are not judged and raise no alarm.
        Deleted ones are removed for good after 30 days.
      </p>
      {problem && (
        <p class="problem" role="status">
          The archive cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading…</p>}
      {value?.items.length === 0 && <p class="say">The archive is empty.</p>}
      <ul class="devices" data-testid="archive">
        {(value?.items ?? []).map((item) => (
          <Entry key={item.id} item={item} changed={reload} />
        ))}
      </ul>
      {value?.next && (
        <button type="button" onClick={() => setParts(parts + 1)}>
          Show more
        </button>
      )}
    </div>
  );
}

type EntryProps = { readonly item: ArchiveItemView; readonly changed: () => void };

function Entry({ item, changed }: EntryProps) {
  const { id, kind, name, places } = item;
  const leftOut = leftOutWords(item);
  return (
    <li class="device none" data-testid={`archive-${id}`}>
      <h2>
        {name} <span class="quiet">{kind}</span>
      </h2>
      <p>{archiveWords(item, reader.value)}</p>
      <p class="quiet">{contentsWords(item, reader.value).join('; ')}.</p>
      {leftOut && <p class="problem">{leftOut}</p>}
      {item.state !== 'removing' && places.length > 0 && (
        <p>
          {places.map((place) => (
            <a key={place.id} href={addressOf('exportPlace', { params: { id: place.id } })} download="">
              Export the readings of {place.name}
            </a>
          ))}
        </p>
      )}
      {item.state !== 'removing' && may('restoreArchived') && <EntryOrders item={item} changed={changed} />}
    </li>
  );
}

function EntryOrders({ item, changed }: EntryProps) {
  const { id, name, state } = item;
  const order = useOrder();
  const [asked, setAsked] = useState(false);
  const give = async (work: () => Promise<unknown>, words: string) => {
    setAsked(false);
    if (!(await order.run(work))) return;
    say(words);
    changed();
  };
  const restore = () => give(() => call('restoreArchived', { params: { id } }), `${name} restored.`);
  const now = state === 'deleted';
  const remove = () =>
    give(
      () => call('deleteArchived', { params: { id }, query: { now } }),
      now ? `${name} is being removed for good.` : `${name} deleted.`,
    );
  if (asked)
    return (
      <fieldset class="confirm">
        <legend class="unseen">Remove {name}</legend>
        <p>
          <b>{now ? `Remove ${name} for good now?` : `Delete ${name}?`}</b>{' '}
          {now ? 'Nobody can restore it then.' : 'It can be restored for 30 days.'}
        </p>
        <span class="row">
          <button type="button" class="first" disabled={order.busy} onClick={() => void remove()}>
            {now ? 'Remove' : 'Delete'}
          </button>
          <button type="button" onClick={() => setAsked(false)}>
            Cancel
          </button>
        </span>
      </fieldset>
    );
  return (
    <>
      <span class="row">
        <button
          type="button"
          disabled={order.busy}
          aria-label={`Restore ${name}`}
          onClick={() => void restore()}
        >
          Restore
        </button>
        <button
          type="button"
          disabled={order.busy}
          aria-label={`${now ? 'Remove' : 'Delete'} ${name}`}
          onClick={() => setAsked(true)}
        >
          {now ? 'Remove now…' : 'Delete…'}
        </button>
      </span>
      <Problem words={order.problem} />
    </>
  );
}
