import { networkInterfaces } from 'node:os';

/** Addresses of this machine's interfaces, as they are now. */
export function interfaceAddresses(): string[] {
  return Object.values(networkInterfaces()).flatMap((found) => (found ?? []).map(({ address }) => address));
}
