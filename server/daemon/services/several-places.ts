import type { Place } from '../../../shared/model/place.ts';
import type { PlaceChange, PlacesChanged } from '../../../shared/wire/places/changes.ts';
import { commit, type OrderContext, putTargets } from './orders.ts';

/**
 * Changes several places in one commit: all of them, but for those that are not there, which are named.
 * @throws Fault `store-failed`; then none is changed
 */
export function changePlaces(changes: readonly PlaceChange[], context: OrderContext): PlacesChanged {
  const { world } = context;
  const found = changes.flatMap((change) => {
    const place = world.places.get(change.placeId);
    return place ? [{ place, change }] : [];
  });
  const refused = changes
    .filter(({ placeId }) => !world.places.has(placeId))
    .map(({ placeId }) => ({ placeId, reason: `There is no place "${placeId}".` }));
  commit(context, () => {
    for (const { place, change } of found) changeOne(place, change, context);
  });
  const changed = found.map(({ place }) => place.id);
  for (const placeId of changed) context.placeChanged(placeId);
  return { changed, refused };
}

function changeOne(place: Place, { name, zone, alarms, targets }: PlaceChange, context: OrderContext): void {
  const { world, store } = context;
  const settings = {
    ...place.settings,
    ...(zone === undefined ? {} : { zone }),
    ...(alarms === undefined ? {} : { alarms }),
    // bands set by hand answer the questions of a first contact
    ...(targets === undefined ? {} : { questionsOpen: false }),
  };
  const changed = { ...place, ...(name === undefined ? {} : { name }), settings };
  if (targets) putTargets(changed, { targets, fromMs: null }, context);
  store.places.update(changed);
  world.putPlace(changed);
}
