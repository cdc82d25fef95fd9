import type { NewDevice } from '../../shared/wire/probes/device.ts';
import { type BrokerEndpoint, brokerEndpoint } from './broker.ts';

type Login = { readonly name: string; readonly secret: string };
/** Addresses of the broker as the daemon knows them, and the host under which this page was reached. */
type BrokerAt = {
  readonly address: string;
  readonly secureAddress?: string | null;
  readonly pageHost: string;
};

/** Where a device finds the broker: encrypted, where it can. */
function endpointFor({ address, secureAddress, pageHost }: BrokerAt): BrokerEndpoint {
  const { host, ...rest } = brokerEndpoint(secureAddress ?? address);
  const everywhere = host === '0.0.0.0' || host === '::';
  return { ...rest, host: everywhere ? pageHost : host };
}

function loginLines({ name, secret }: Login, broker: BrokerAt): string[] {
  const { host, port, secure } = endpointFor(broker);
  return [
    `host      ${host}`,
    `port      ${port}`,
    `TLS       ${secure ? 'yes; trust who signed the certificate' : 'no'}`,
    `user      ${name}`,
    `password  ${secret}`,
  ];
}

/**
 * The settings that devices with a shared login need, a line each.
 * @param login its name and secret
 * @param broker where it is
 */
export function deviceSettings(login: Login, broker: BrokerAt): string {
  return [...loginLines(login, broker), 'topic     strikewell/1/<device>/readings'].join('\n');
}

/**
 * The settings that one device with a secret of its own needs, a line each.
 * @param made its name and secret
 * @param broker where it is
 */
export function ownDeviceSettings({ device, secret }: NewDevice, broker: BrokerAt): string {
  return [
    ...loginLines({ name: device, secret }, broker),
    `client    ${device}`,
    `readings  strikewell/1/${device}/readings   QoS 1, not retained`,
    `status    strikewell/1/${device}/status     QoS 1, retained: {"state":"online"}`,
    'Will      the status topic, QoS 1, retained: {"state":"offline"}',
  ].join('\n');
}

/** The same for the sketches among the firmware contracts: their file settings.h. */
export function deviceHeader({ device, secret }: NewDevice, broker: BrokerAt): string {
  const { host, port, secure } = endpointFor(broker);
  return [
    `#define STRIKEWELL_HOST "${host}"`,
    `#define STRIKEWELL_PORT ${port}`,
    `#define STRIKEWELL_TLS ${secure ? 1 : 0}`,
    `#define STRIKEWELL_DEVICE "${device}" /* also user name and client id */`,
    `#define STRIKEWELL_SECRET "${secret}"`,
  ].join('\n');
}

/** The same for the MicroPython program among the firmware contracts: its file settings.json, Wi-Fi and pins to fill in. */
export function deviceJson({ device, secret }: NewDevice, broker: BrokerAt): string {
  const { host, port, secure } = endpointFor(broker);
  const i2c = { sda: 21, scl: 22 };
  const settings = {
    device,
    secret,
    host,
    port,
    tls: secure,
    authority: 'authority.der',
    wifi: { name: '', password: '' },
    every_s: 30,
    sleep: false,
    sensors: [
      { kind: 'sht4x', ...i2c, temperature: 'air/temperature', humidity: 'air/humidity' },
      { kind: 'ds18b20', pin: 4, temperature: 'root/temperature' },
    ],
  };
  return JSON.stringify(settings, null, 2);
}

/** True when the settings name an address that only this machine itself reaches. */
export function namesOnlyHere(broker: BrokerAt): boolean {
  return isLoopback(endpointFor(broker).host);
}

/** True when the broker answers on this machine alone. */
export function isOnlyHere(address: string): boolean {
  return isLoopback(brokerEndpoint(address).host);
}

function isLoopback(host: string): boolean {
  return /^(localhost|127(\.\d{1,3}){3}|::1)$/i.test(host);
}
