import type { NewCredential, UsedCredential } from '../../../shared/model/people/access.ts';
import type { KeptPasskey, Log, PasskeyCheck, Site } from '../../ports.ts';

/** How long a browser waits for its user, ms. */
const TIMEOUT_MS = 120_000;
const SERVICE_NAME = 'Strikewell';
/** EdDSA, ES256 and RS256: what Node offers beyond them is an experiment, and a key must outlive it (RFC 9053). */
const ALGORITHMS = [-8, -7, -257];
/** What a browser sends that was asked for no attestation; others bring certificates, with addresses to look up. */
const FORMATS: readonly string[] = ['none', 'packed'];

/** WebAuthn by a library that is loaded when the first passkey is made or used. */
export function createPasskeyCheck(log: Log): PasskeyCheck {
  let loading: ReturnType<typeof load> | null = null;
  const library = () => {
    loading ??= load();
    return loading;
  };
  return { ...asking(library), ...checking(library, log) };
}

type Load = () => Promise<Awaited<ReturnType<typeof load>>>;

function asking(library: Load): Pick<PasskeyCheck, 'offer' | 'ask'> {
  return {
    async offer({ site, account, had }) {
      const { generateRegistrationOptions } = await library();
      const options = await generateRegistrationOptions({
        rpName: SERVICE_NAME,
        rpID: site.host,
        userName: account,
        timeout: TIMEOUT_MS,
        attestationType: 'none',
        supportedAlgorithmIDs: ALGORITHMS,
        excludeCredentials: had.map(listed),
        authenticatorSelection: { residentKey: 'discouraged', userVerification: 'preferred' },
      });
      return { options: { ...options }, challenge: options.challenge };
    },
    async ask({ site, passkeys }) {
      const { generateAuthenticationOptions } = await library();
      const options = await generateAuthenticationOptions({
        rpID: site.host,
        timeout: TIMEOUT_MS,
        userVerification: 'preferred',
        allowCredentials: passkeys.map(listed),
      });
      return { options: { ...options }, challenge: options.challenge };
    },
  };
}

function checking(library: Load, log: Log): Pick<PasskeyCheck, 'made' | 'used'> {
  /** An answer that does not fit is a value: the library throws, with why. */
  const orNull = async <T>(check: () => Promise<T | null>): Promise<T | null> => {
    try {
      return await check();
    } catch (cause) {
      if (!(cause instanceof Error)) throw cause;
      log.warn('a passkey was refused', { why: cause.message.slice(0, 200) });
      return null;
    }
  };
  return {
    made: (answer, { site, challenge }) =>
      orNull(async () => {
        const { verifyRegistrationResponse, decodeAttestationObject, isoBase64URL } = await library();
        const attested = decodeAttestationObject(isoBase64URL.toBuffer(answer.response.attestationObject));
        const plain =
          FORMATS.includes(attested.get('fmt')) && attested.get('attStmt').get('x5c') === undefined;
        if (!plain) throw new Error(`attestation ${attested.get('fmt')} was not asked for`);
        const { verified, registrationInfo } = await verifyRegistrationResponse({
          response: registrationOf(answer),
          ...expected(site, challenge),
          supportedAlgorithmIDs: ALGORITHMS,
        });
        if (!verified) return null;
        const { id, publicKey, counter } = registrationInfo.credential;
        return { credential: id, publicKey, counter, transports: answer.response.transports ?? [] };
      }),
    used: (answer, { site, challenge, passkey }) =>
      orNull(async () => {
        const { verifyAuthenticationResponse } = await library();
        const { verified, authenticationInfo } = await verifyAuthenticationResponse({
          response: authenticationOf(answer),
          ...expected(site, challenge),
          credential: {
            id: passkey.credential,
            publicKey: new Uint8Array(passkey.publicKey),
            counter: passkey.counter,
          },
        });
        return verified ? { counter: authenticationInfo.newCounter } : null;
      }),
  };
}

async function load() {
  const [library, helpers] = await Promise.all([
    import('@simplewebauthn/server'),
    import('@simplewebauthn/server/helpers'),
  ]);
  const { decodeAttestationObject, isoBase64URL } = helpers;
  return { ...library, decodeAttestationObject, isoBase64URL };
}

function expected({ host, origin }: Site, challenge: string) {
  return {
    expectedChallenge: challenge,
    expectedOrigin: origin,
    expectedRPID: host,
    // preferred: a key without a PIN is a second factor too
    requireUserVerification: false,
  };
}

function registrationOf({ id, rawId, response }: NewCredential) {
  const { clientDataJSON, attestationObject } = response;
  return {
    id,
    rawId,
    type: 'public-key' as const,
    response: { clientDataJSON, attestationObject },
    clientExtensionResults: {},
  };
}

function authenticationOf({ id, rawId, response }: UsedCredential) {
  const { clientDataJSON, authenticatorData, signature } = response;
  return {
    id,
    rawId,
    type: 'public-key' as const,
    response: { clientDataJSON, authenticatorData, signature },
    clientExtensionResults: {},
  };
}

function listed({ credential, transports }: KeptPasskey) {
  return { id: credential, transports: [...transports] };
}
