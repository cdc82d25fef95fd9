import { Advice } from '../advice/advice.tsx';
import { TryPast } from '../alarms/try-past.tsx';
import { ArchiveButtons } from '../archive/archive-buttons.tsx';
import { BatchesHere } from '../batches/here.tsx';
import { PlaceCard } from '../bench/place-card.tsx';
import { Fold } from '../common/fold/fold.tsx';
import { IfMay } from '../common/if-may.tsx';
import { DiarySection } from '../diary/diary.tsx';
import { NextHours } from '../forecast/next-hours.tsx';
import { PlaceLight } from '../light/place-light.tsx';
import { CheckNote } from '../probes/checks/check-note.tsx';
import { FindingsSection } from '../probes/findings.tsx';
import { RecordView } from '../record/record.tsx';
import { places } from '../state.ts';
import { ClimateMap } from './climate-map.tsx';
import { DayBars } from './day-bars.tsx';
import { NameForm } from './forms/name-form.tsx';
import { PrioritiesForm } from './forms/priorities-form.tsx';
import { SetUp } from './forms/set-up.tsx';
import { SettingsForm } from './forms/settings-form.tsx';
import { TargetsForm } from './forms/targets-form.tsx';
import { OtherReadings } from './other-readings.tsx';

/** One place: first how it is and what to do, then its record, then what may be changed about it. */
export function PlacePage({ placeId }: { placeId: string }) {
  const place = places.value.find(({ id }) => id === placeId);
  if (!place) {
    return (
      <>
        <h1 class="unseen">Page not found</h1>
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
      {place.settings.questionsOpen && <SetUp place={place} />}
      <CheckNote placeId={place.id} />
      <BatchesHere place={place} />
      <DiarySection key={`diary ${place.id}`} about={{ placeId: place.id }} />
      <Fold id="record" title="Record">
        <RecordView place={place} />
      </Fold>
      <NextHours place={place} />
      <Fold id="pictures" title="Temperature, humidity, light and the days">
        <div class="pictures">
          <ClimateMap place={place} />
          <DayBars place={place} />
          <PlaceLight place={place} />
        </div>
      </Fold>
      <Advice place={place} />
      <OtherReadings place={place} />
      <FindingsSection placeId={place.id} />
      <h2 class="forms-head">Change this place</h2>
      <TryPast key={place.id} place={place} />
      <TargetsForm place={place} />
      <PrioritiesForm place={place} />
      <SettingsForm place={place} />
      {!place.settings.questionsOpen && <SetUp place={place} />}
      <IfMay route="changePlace">
        <NameForm place={place} />
      </IfMay>
      <IfMay route="archivePlace">
        <ArchivePlace placeId={place.id} name={place.name} />
      </IfMay>
    </div>
  );
}

function ArchivePlace({ placeId, name }: { readonly placeId: string; readonly name: string }) {
  const gone = () => {
    location.hash = '#/archived';
  };
  return (
    <details class="archive-place">
      <summary>Archive or delete</summary>
      <ArchiveButtons target={{ kind: 'place', id: placeId }} name={name} gone={gone} />
    </details>
  );
}
