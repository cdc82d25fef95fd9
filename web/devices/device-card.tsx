import { useState } from 'preact/hooks';
import type { DeviceState } from '../../shared/model/probes/device.ts';
import type { DeviceRow, NewDevice } from '../../shared/wire/probes/device.ts';
import { call } from '../api.ts';
import { ArchiveButtons } from '../archive/archive-buttons.tsx';
import { type Order, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Problem } from '../common/password-field.tsx';
import { placeHref } from '../frame/route.ts';
import { access } from '../settings/access.ts';
import { known, reader, say, secondMs } from '../state.ts';
import { deviceFacts, loginWords, presenceWords, secondWords } from './devices.ts';

type CardProps = {
  readonly row: DeviceRow;
  readonly embedded: boolean;
  readonly made: (device: NewDevice) => void;
  readonly changed: () => void;
};

/** One device: how it is let in, when it last reported, condition, and what its owner may do about it. */
export function DeviceCard(props: CardProps) {
  const { row, embedded } = props;
  const at = { ...reader.value, nowMs: secondMs.value };
  const closed = access.value?.closed === true;
  return (
    <li class={`device ${row.login?.state ?? 'none'}`} data-testid={`device-${row.device}`}>
      <h2>
        {row.device} <span class="quiet">{loginWords(row, { closed, embedded })}</span>
      </h2>
      <p>
        {presenceWords(row, at)} <Places row={row} />
      </p>
      {row.archived && (
        <p class="problem">
          <a href="#/archived">Archived</a>: what it sends is not stored.
        </p>
      )}
      {row.second && (
        <p class="problem" data-testid="second-client">
          {secondWords(row.second)}
        </p>
      )}
      <dl class="device-facts">
        {deviceFacts(row, at).map(({ name, words, poor }) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd class={poor ? 'poor' : ''}>{words}</dd>
          </div>
        ))}
      </dl>
      <IfMay route="changeDevice">
        <DeviceOrders {...props} />
      </IfMay>
      {(row.probes > 0 || row.login !== null) && (
        <IfMay route="archiveDevice">
          <ArchiveButtons
            target={{ kind: 'device', id: row.device }}
            name={row.device}
            gone={props.changed}
          />
        </IfMay>
      )}
    </li>
  );
}

function Places({ row }: { row: DeviceRow }) {
  const places = known.value.places.filter(({ id }) => row.places.includes(id));
  return (
    <>
      {places.map(({ id, name }, index) => (
        <span key={id}>
          {index === 0 ? 'Its probes stand in ' : ', '}
          <a href={placeHref(id)}>{name}</a>
        </span>
      ))}
    </>
  );
}

type Confirmation = 'secret' | 'retire' | null;

function DeviceOrders({ row, made, changed }: CardProps) {
  const { device, login } = row;
  const order = useOrder();
  const [asked, setAsked] = useState<Confirmation>(null);
  const secret = async (work: () => Promise<NewDevice>) => {
    setAsked(null);
    if (await order.run(async () => made(await work()))) changed();
  };
  const state = async (to: DeviceState, words: string) => {
    setAsked(null);
    if (!(await order.run(() => call('changeDevice', { params: { device }, body: { state: to } })))) return;
    say(`${device} ${words}.`);
    changed();
  };
  if (asked !== null) {
    const retire = asked === 'retire';
    const run = retire
      ? () => state('retired', 'is retired; enabling takes that back')
      : () => secret(() => call('renewDeviceSecret', { params: { device } }));
    return <Confirm device={device} retire={retire} order={order} run={run} leave={() => setAsked(null)} />;
  }
  const button = (words: string, run: () => void) => (
    <button type="button" disabled={order.busy} aria-label={`${words} ${device}`} onClick={run}>
      {words}
    </button>
  );
  return (
    <>
      <span class="row">
        {login === null &&
          button('Give it its own secret', () => void secret(() => call('addDevice', { body: { device } })))}
        {login !== null &&
          login.state !== 'enabled' &&
          button('Enable', () => void state('enabled', 'may log in again'))}
        {login?.state === 'enabled' && (
          <>
            {button('New secret…', () => setAsked('secret'))}
            {button('Disable', () => void state('disabled', 'is cut off and may not log in'))}
          </>
        )}
        {login !== null && login.state !== 'retired' && button('Retire…', () => setAsked('retire'))}
      </span>
      <Problem words={order.problem} />
    </>
  );
}

type ConfirmProps = {
  readonly device: string;
  readonly retire: boolean;
  readonly order: Order;
  readonly run: () => Promise<void>;
  readonly leave: () => void;
};

function Confirm({ device, retire, order, run, leave }: ConfirmProps) {
  return (
    <fieldset class="confirm">
      <legend class="unseen">{retire ? `Retire ${device}` : `New secret for ${device}`}</legend>
      <p>
        {retire
          ? `${device} is cut off and may not log in any more. Its record stays, and nobody else can take its name. Enabling it again undoes this.`
          : `The secret ${device} has now ends at once; it is cut off until it has the new one.`}
      </p>
      <span class="row">
        <button type="button" class="first" disabled={order.busy} onClick={() => void run()}>
          {retire ? 'Retire it' : 'Make a new secret'}
        </button>
        <button type="button" onClick={leave}>
          Leave it
        </button>
      </span>
    </fieldset>
  );
}
