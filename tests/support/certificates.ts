import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { runChild } from './child.ts';
import { plainEnvironment, toolPath } from './environment.ts';

export type Certificates = { readonly caFile: string; readonly certFile: string; readonly keyFile: string };

/**
 * Makes an authority of our own and a certificate of it for 127.0.0.1 and localhost.
 *
 * @param folder where the files go
 * @returns the paths of the authority's certificate, the server's certificate and its key
 */
export async function makeCertificates(folder: string): Promise<Certificates> {
  const file = (name: string): string => join(folder, name);
  writeFileSync(file('server.ext'), 'subjectAltName = IP:127.0.0.1, DNS:localhost\n');
  const newKey = ['-newkey', 'rsa:2048', '-nodes'];
  await openssl([
    'req',
    '-x509',
    ...newKey,
    '-keyout',
    file('ca.key'),
    '-out',
    file('ca.crt'),
    '-days',
    '2',
    '-subj',
    '/CN=test authority',
  ]);
  await openssl([
    'req',
    ...newKey,
    '-keyout',
    file('server.key'),
    '-out',
    file('server.csr'),
    '-subj',
    '/CN=localhost',
  ]);
  await openssl([
    'x509',
    '-req',
    '-in',
    file('server.csr'),
    '-CA',
    file('ca.crt'),
    '-CAkey',
    file('ca.key'),
    '-CAcreateserial',
    '-days',
    '2',
    '-extfile',
    file('server.ext'),
    '-out',
    file('server.crt'),
  ]);
  return { caFile: file('ca.crt'), certFile: file('server.crt'), keyFile: file('server.key') };
}

async function openssl(args: readonly string[]): Promise<void> {
  await runChild({ command: toolPath('openssl'), args, env: plainEnvironment() });
}
