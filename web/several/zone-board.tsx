import { useId, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { boardOf, movedBy, type ZoneMoves } from './zone-moves.ts';

type BoardProps = {
  readonly places: readonly PlaceSummary[];
  readonly moves: ZoneMoves;
  readonly move: (moves: ZoneMoves) => void;
};

const words = (zone: string | null) => zone ?? 'No zone';

/** The zone under a point of the window; undefined where there is none. */
function zoneAt({ clientX, clientY }: PointerEvent): string | null | undefined {
  const under = document.elementFromPoint(clientX, clientY)?.closest<HTMLElement>('[data-zone]');
  if (!under) return undefined;
  return under.dataset['zone'] === '' ? null : under.dataset['zone'];
}

const isGrip = (target: EventTarget | null) => target instanceof Element && target.matches('.grip');

/** Places by zone, each dragged into another, or moved by the arrow keys; nothing is changed before it is confirmed. */
export function ZoneBoard({ places, moves, move }: BoardProps) {
  const [added, setAdded] = useState<readonly string[]>([]);
  const [over, setOver] = useState<string | null | undefined>(undefined);
  const [said, setSaid] = useState('');
  const list = useRef<HTMLDivElement>(null);
  const moved = useRef<string | null>(null);
  const zones = boardOf(places, moves, added);
  // before the next key can come: it would go to a button that is no more
  useLayoutEffect(() => {
    // it stands in another list now: who works by keyboard goes on with it
    const id = moved.current;
    if (id === null) return;
    moved.current = null;
    list.current?.querySelector<HTMLElement>(`[data-move="${CSS.escape(id)}"]`)?.focus();
  }, [moves]);
  const put = (place: PlaceSummary, zone: string | null) => {
    moved.current = place.id;
    setSaid(`${place.name}: ${words(zone)}`);
    move({ ...moves, [place.id]: zone });
  };
  const onKey = (event: KeyboardEvent, place: PlaceSummary) => {
    const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    const next = movedBy(zones, place.id, by);
    if (next !== undefined) put(place, next);
  };
  const drop = (event: PointerEvent, place: PlaceSummary) => {
    const zone = zoneAt(event);
    setOver(undefined);
    if (zone !== undefined && !zones.some((one) => one.zone === zone && one.places.includes(place)))
      put(place, zone);
  };
  return (
    <div ref={list} class="zone-board" data-testid="zone-board">
      <p class="hint">
        Drag a place into its zone. By keyboard: go to a place, and move it with the arrow keys.
      </p>
      {zones.map(({ zone, places: some }) => (
        <section
          key={zone ?? ''}
          class={over === zone ? 'zone over' : 'zone'}
          data-zone={zone ?? ''}
          aria-label={words(zone)}
        >
          <h3>
            {words(zone)} <small>{some.length}</small>
          </h3>
          <ul>
            {some.map((place) => (
              <li key={place.id}>
                <Handle place={place} onKey={onKey} drop={drop} setOver={setOver} />
              </li>
            ))}
          </ul>
        </section>
      ))}
      <NewZone known={zones.map(({ zone }) => zone)} add={(zone) => setAdded([...added, zone])} />
      <p class="unseen" role="status">
        {said}
      </p>
    </div>
  );
}

type HandleProps = {
  readonly place: PlaceSummary;
  readonly onKey: (event: KeyboardEvent, place: PlaceSummary) => void;
  readonly drop: (event: PointerEvent, place: PlaceSummary) => void;
  /** the zone it is held over; undefined: none */
  readonly setOver: (zone: string | null | undefined) => void;
};

/** A place that is dragged by its whole width with a mouse, by its grip with a finger. */
function Handle({ place, onKey, drop, setOver }: HandleProps) {
  const [isDragged, setDragged] = useState(false);
  return (
    <button
      type="button"
      class={`zone-place${isDragged ? ' dragged' : ''}`}
      data-move={place.id}
      onKeyDown={(event) => onKey(event, place)}
      onPointerDown={(event) => {
        // a finger beside the grip scrolls the page
        if (event.pointerType === 'touch' && !isGrip(event.target)) return;
        event.currentTarget.setPointerCapture(event.pointerId);
        setDragged(true);
      }}
      onPointerMove={(event) => isDragged && setOver(zoneAt(event))}
      onPointerUp={(event) => {
        if (!isDragged) return;
        setDragged(false);
        drop(event, place);
      }}
      onPointerCancel={() => {
        setDragged(false);
        setOver(undefined);
      }}
    >
      <span class="grip" aria-hidden="true" />
      {place.name}
    </button>
  );
}

type NewProps = { readonly known: readonly (string | null)[]; readonly add: (zone: string) => void };

/** A further zone to drag places into. */
function NewZone({ known, add }: NewProps) {
  const id = useId();
  const [name, setName] = useState('');
  const zone = name.trim();
  const submit = (event: Event) => {
    event.preventDefault();
    if (zone === '' || known.includes(zone)) return;
    add(zone);
    setName('');
  };
  return (
    <form class="row" onSubmit={submit}>
      <label for={id}>A new zone</label>
      <input
        id={id}
        maxLength={64}
        value={name}
        placeholder="e.g. South house"
        onInput={({ currentTarget }) => setName(currentTarget.value)}
      />
      <button type="submit" disabled={zone === '' || known.includes(zone)}>
        Add
      </button>
    </form>
  );
}
