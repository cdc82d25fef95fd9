import { useEffect, useRef, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call } from '../api.ts';
import { type Edits, UndoLine, useEdits } from '../batches/undo.tsx';
import { may } from '../settings/access.ts';
import { places, reader } from '../state.ts';
import { ordersOf, type PlannedPlace, planOf, sameNames, type Wanted } from './plan.ts';
import { WantedFields } from './wanted-fields.tsx';

const byName = (a: PlaceSummary, b: PlaceSummary) => a.name.localeCompare(b.name, 'en', { numeric: true });
const placesWords = (count: number) => (count === 1 ? '1 place' : `${count} places`);

type Chosen = ReadonlySet<string>;
type ChooseProps = { readonly chosen: Chosen; readonly choose: (chosen: Chosen) => void };

/** Places by zone, each with a box; a zone is chosen in one go. */
function Choose({ chosen, choose }: ChooseProps) {
  const zones = [...Map.groupBy(places.value.toSorted(byName), ({ settings }) => settings.zone)];
  const toggle = (ids: readonly string[], on: boolean) => {
    const next = new Set(chosen);
    for (const id of ids) on ? next.add(id) : next.delete(id);
    choose(next);
  };
  const box = (words: string, ids: readonly string[]) => (
    <label>
      <input
        type="checkbox"
        checked={ids.every((id) => chosen.has(id))}
        onChange={({ currentTarget }) => toggle(ids, currentTarget.checked)}
      />{' '}
      {words}
    </label>
  );
  return (
    <>
      {zones.map(([zone, some]) => (
        <fieldset key={zone ?? ''} class="several-zone">
          <legend>
            {box(
              `${zone ?? 'No zone'} (${some.length})`,
              some.map(({ id }) => id),
            )}
          </legend>
          {some.map(({ id, name }) => (
            <span key={id}>{box(name, [id])}</span>
          ))}
        </fieldset>
      ))}
    </>
  );
}

/** What will change, place by place. */
function Preview({ plan, all }: { readonly plan: readonly PlannedPlace[]; readonly all: boolean }) {
  const some = plan.filter(({ lines }) => lines.length > 0);
  const same = all ? 0 : plan.length - some.length;
  const alike = sameNames(places.value, plan);
  return (
    <>
      <div class="wide">
        <table class="several-plan">
          <thead>
            <tr>
              {['place', 'what', 'from', 'to'].map((name) => (
                <th key={name} scope="col">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {some.flatMap(({ placeId, name, lines }) =>
              lines.map(({ what, from, to }, i) => (
                <tr key={`${placeId} ${what}`}>
                  {i === 0 && (
                    <th scope="rowgroup" rowSpan={lines.length}>
                      {name}
                    </th>
                  )}
                  <td>{what}</td>
                  <td>{from}</td>
                  <td>
                    <b>→ {to}</b>
                  </td>
                </tr>
              )),
            )}
          </tbody>
        </table>
      </div>
      {alike.length > 0 && some.some(({ change }) => change.name !== undefined) && (
        <p class="problem">Several places would be called {alike.join(', ')}.</p>
      )}
      {same > 0 && <p class="quiet">{placesWords(same)} of those chosen: so already.</p>}
    </>
  );
}

/** Gives the order and says what became of it, with the way back; places that were refused are named. */
async function carryOut(plan: readonly PlannedPlace[]) {
  const { changes, undo } = ordersOf(plan);
  const { changed, refused } = await call('changePlaces', { body: { changes } });
  const nameOf = (placeId: string) => plan.find((one) => one.placeId === placeId)?.name ?? placeId;
  const not = refused.map(({ placeId, reason }) => ` Not changed: ${nameOf(placeId)}. ${reason}`).join('');
  const done = new Set(changed);
  const back = undo.filter(({ placeId }) => done.has(placeId));
  return {
    words: `${placesWords(changed.length)} changed.${not}`,
    run: () => (back.length === 0 ? Promise.resolve() : call('changePlaces', { body: { changes: back } })),
  };
}

type ConfirmProps = {
  readonly plan: readonly PlannedPlace[];
  readonly edits: Edits;
  readonly done: () => void;
};

function Confirm({ plan, edits, done }: ConfirmProps) {
  const count = ordersOf(plan).changes.length;
  if (count === 0) return <p>Nothing would change yet.</p>;
  const confirm = async () => {
    if (await edits.run(() => carryOut(plan))) done();
  };
  return (
    <button type="button" class="first" disabled={edits.busy} onClick={() => void confirm()}>
      Change {placesWords(count)}
    </button>
  );
}

/** Names, zones, targets or an alarm of several places in one go: chosen, shown place by place, confirmed once, undone at once. */
export function SeveralPage() {
  const [chosen, choose] = useState<Chosen>(new Set());
  const [wanted, setWanted] = useState<Wanted | null>({ kind: 'zone', zone: null });
  const [round, setRound] = useState(0);
  const edits = useEdits(() => undefined);
  const result = useRef<HTMLDivElement>(null);
  const { undo } = edits;
  useEffect(() => {
    // the button that was pressed is gone: who works by keyboard goes on at the result
    if (undo !== null) result.current?.focus();
  }, [undo]);
  const begin = () => {
    choose(new Set());
    setWanted({ kind: 'zone', zone: null });
    setRound(round + 1);
  };
  if (!may('changePlaces')) {
    return (
      <div class="plain-page">
        <h1>Change several places</h1>
        <p>Your account may not change places.</p>
      </div>
    );
  }
  const ofAll = wanted?.kind === 'zones';
  const some = places.value.filter(({ id }) => ofAll || chosen.has(id)).toSorted(byName);
  const plan = wanted === null ? [] : planOf(some, wanted, reader.value.unit);
  return (
    <div class="plain-page several">
      <h1>Change several places</h1>
      <div ref={result} tabIndex={-1}>
        <UndoLine edits={edits} />
      </div>
      <section>
        <h2>What changes</h2>
        <WantedFields key={round} places={places.value} set={setWanted} />
      </section>
      {!ofAll && (
        <section>
          <h2>Which places</h2>
          <Choose chosen={chosen} choose={choose} />
        </section>
      )}
      {plan.length > 0 && (
        <section data-testid="several-plan">
          <h2>What will change</h2>
          <Preview plan={plan} all={ofAll} />
          <Confirm plan={plan} edits={edits} done={begin} />
        </section>
      )}
    </div>
  );
}
