import { known } from '../state.ts';
import { NameForm } from './name-form.tsx';
import { PlaceCard } from './place-card.tsx';
import { RecordView } from './record.tsx';
import { TargetsForm } from './targets-form.tsx';

/** One place: its section large, its record below, its targets. */
export function PlacePage({ placeId }: { placeId: string }) {
  const place = known.value.places.find(({ id }) => id === placeId);
  if (!place) {
    return (
      <>
        <h1 class="unseen">Not here</h1>
        <p class="waiting">
          There is no place “{placeId}”. <a href="#/">Go to the benches.</a>
        </p>
      </>
    );
  }
  return (
    <div class="place-page">
      <h1 class="unseen">{place.name}</h1>
      <PlaceCard place={place} large />
      <RecordView place={place} />
      <TargetsForm place={place} />
      <NameForm place={place} />
    </div>
  );
}
