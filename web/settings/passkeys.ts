import type {
  PublicKeyCredentialCreationOptionsJSON,
  PublicKeyCredentialRequestOptionsJSON,
} from '@simplewebauthn/browser';
import type { NewCredential, UsedCredential } from '../../shared/model/people/access.ts';

/** Whether a passkey can be used on this page: https with a host name, or localhost (WebAuthn). */
export function passkeysWork(): boolean {
  const isAddress = /^(\[|\d{1,3}(\.\d{1,3}){3}$)/.test(location.hostname);
  return window.isSecureContext && 'PublicKeyCredential' in window && !isAddress;
}

const WORDS: Readonly<Record<string, string>> = {
  NotAllowedError: 'No passkey was given: it was cancelled, or took too long.',
  InvalidStateError: 'This passkey was added already.',
  AbortError: 'No passkey was given: it was cancelled.',
};

/** The words of a browser about passkeys are for programmers. */
async function inWords<T>(ask: () => Promise<T>): Promise<T> {
  try {
    return await ask();
  } catch (thrown) {
    const words = thrown instanceof Error ? WORDS[thrown.name] : undefined;
    if (words === undefined) throw thrown;
    throw new Error(words, { cause: thrown });
  }
}

/** Has the browser make a passkey. @throws Error in words for the page */
export function makePasskey(options: object): Promise<NewCredential> {
  return inWords(async () => {
    const { startRegistration } = await import('@simplewebauthn/browser');
    const made = await startRegistration({ optionsJSON: options as PublicKeyCredentialCreationOptionsJSON });
    return { ...made, clientExtensionResults: { ...made.clientExtensionResults } };
  });
}

/** Has the browser use a passkey. @throws Error in words for the page */
export function askPasskey(options: object): Promise<UsedCredential> {
  return inWords(async () => {
    const { startAuthentication } = await import('@simplewebauthn/browser');
    const used = await startAuthentication({ optionsJSON: options as PublicKeyCredentialRequestOptionsJSON });
    return { ...used, clientExtensionResults: { ...used.clientExtensionResults } };
  });
}
