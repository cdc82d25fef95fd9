import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { call } from '../api.ts';
import { Copyable } from '../common/copyable.tsx';
import { useLoaded } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { firstPackCommand } from '../devices/broker.ts';
import { placeHref } from '../frame/route.ts';
import { MisspeltNotice } from '../messages/unread.tsx';
import type { Answers } from '../place/forms/set-up.ts';
import { QuestionFields, SetUp } from '../place/forms/set-up.tsx';
import { access, may } from '../settings/access.ts';
import { known } from '../state.ts';
import { BEGIN_KEY, type Begun, begunOf, type Step, type StepId, stepsOf } from './path.ts';

function useBegun() {
  const [begun, setBegun] = useState<Begun>(() => begunOf(localStorage.getItem(BEGIN_KEY)));
  const keep = (change: Partial<Begun>) =>
    setBegun((before) => {
      const next = { ...before, ...change };
      try {
        localStorage.setItem(BEGIN_KEY, JSON.stringify(next));
      } catch {
        // a full or forbidden store costs the answers at the next visit, not now
      }
      return next;
    });
  return { begun, keep };
}

function Connect() {
  const { house } = known.value;
  if (!house) return null;
  const { broker } = house;
  return (
    <>
      <p>
        Send readings to the broker at <b>{broker.address}</b>
        {broker.connected ? '' : ' (which cannot be reached now)'}. From a shell on this machine, one pack of
        three:
      </p>
      <Copyable lines={firstPackCommand(broker.address)} />
      <IfMay route="listUnreadTopics">
        <MisspeltNotice />
      </IfMay>
      {access.value?.closed && broker.embedded && (
        <p>
          An owner password is set, so sensors must log in: add them on the page{' '}
          <a href="#/devices">Devices</a>, and add <code>-u NAME -P SECRET</code>.
        </p>
      )}
      <p>
        It makes a place called <i>sill</i>. A sensor node sends the same to its own topic, with its own name
        in the place of <i>sill</i>. The page <a href="#/devices">Devices</a> shows the settings for it.
      </p>
      <p>
        Nothing happens? <a href="#/watch">Live messages</a> shows every message as it comes, with its result.
        A device that sends in a form of its own is read under <a href="#/other">Other topics</a>.
      </p>
    </>
  );
}

type QuestionsProps = { readonly begun: Begun; readonly keep: (change: Partial<Begun>) => void };

/** The three questions: of a place that waits for the answers, else of the one to come. */
function ThreeQuestions({ begun, keep }: QuestionsProps) {
  const own = known.value.places.filter(({ invented }) => !invented);
  const asking = own.find(({ settings }) => settings.questionsOpen);
  if (asking) return <SetUp key={asking.id} place={asking} answered={begun.answers} />;
  if (own.length > 0)
    return (
      <p>
        They can be answered again on the page of each place:{' '}
        {own.slice(0, 6).map(({ id, name }, i) => (
          <span key={id}>
            {i > 0 && ', '}
            <a href={placeHref(id)}>{name}</a>
          </span>
        ))}
        .
      </p>
    );
  const set = (change: Partial<Answers>) => keep({ answers: { ...begun.answers, ...change } });
  return (
    <div class="set-up">
      <QuestionFields answers={begun.answers} set={set} />
      <p class="hint">Kept in this browser until the first place is there, and asked again with it.</p>
    </div>
  );
}

const STATE_WORDS: Readonly<Record<Step['state'], string>> = { done: 'done', skipped: 'skipped', open: '' };

type StepProps = { readonly step: Step; readonly skip: (skipped: boolean) => void };

function StepView({ step, skip, children }: StepProps & { readonly children: ComponentChildren }) {
  const { id, name, state, words } = step;
  return (
    <li class={`begin-step ${state}`} data-testid={`begin-${id}`}>
      <details open={state === 'open'}>
        <summary>
          <h3>{name}</h3> {STATE_WORDS[state] && <b>{STATE_WORDS[state]}</b>}
        </summary>
        <p class="say">{words}</p>
        {children}
        {state !== 'done' && (
          <button type="button" onClick={() => skip(state === 'open')}>
            {state === 'open' ? 'Skip for now' : 'Take it up again'}
            <span class="unseen">: {name}</span>
          </button>
        )}
      </details>
    </li>
  );
}

/** The path of a first evening: each step can be skipped, and shows by itself when it is done. */
export function BeginPath() {
  const { begun, keep } = useBegun();
  const mayPeople = may('listPeople');
  const { value: people } = useLoaded(`people ${mayPeople} ${known.value.places.length}`, async () =>
    mayPeople ? call('listPeople') : null,
  );
  const steps = stepsOf({ places: known.value.places, people, begun });
  const content: Readonly<Record<StepId, ComponentChildren>> = {
    questions: <ThreeQuestions begun={begun} keep={keep} />,
    device: <Connect />,
    people: (
      <p>
        Add people, how each is reached, and who is called first, on the page <a href="#/people">People</a>.
        Until then alarms only show on this page.
      </p>
    ),
    test: (
      <p>
        On the page <a href="#/people">People</a>, choose Test beside a contact method, and confirm there that
        the message arrived. Then warm a probe in your hand until its alarm comes.
      </p>
    ),
  };
  return (
    <ol class="begin-path" data-testid="begin-path">
      {steps.map((step) => (
        <StepView
          key={step.id}
          step={step}
          skip={(isSkipped) =>
            keep({
              skipped: isSkipped
                ? [...begun.skipped, step.id]
                : begun.skipped.filter((one) => one !== step.id),
            })
          }
        >
          {content[step.id]}
        </StepView>
      ))}
    </ol>
  );
}

/** The path as a page of its own, to be found again from the foot of every page. */
export function BeginPage() {
  return (
    <div class="plain-page">
      <h1>Getting started</h1>
      <p class="say">Four steps, in any order. Each can be skipped, and is here again when you want it.</p>
      <BeginPath />
    </div>
  );
}
