import { brokerEndpoint } from './broker.ts';

type Login = { readonly name: string; readonly secret: string };

/**
 * The settings a device needs, a line each.
 * @param login its name and secret
 * @param broker its address as the daemon knows it, and the host under which this page was reached
 */
export function deviceSettings(login: Login, broker: { address: string; pageHost: string }): string {
  const { host, port } = brokerEndpoint(broker.address);
  const everywhere = host === '0.0.0.0' || host === '::';
  return [
    `host      ${everywhere ? broker.pageHost : host}`,
    `port      ${port}`,
    `user      ${login.name}`,
    `password  ${login.secret}`,
    'topic     strikewell/1/<device>/readings',
  ].join('\n');
}

const LOCAL = /^(localhost|127(\.\d+){3}|::1)$/;

/** Whether other machines can reach the broker at all. */
export function isOnlyHere(address: string): boolean {
  return LOCAL.test(brokerEndpoint(address).host);
}
