import type { RefObject } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { MOST_GIANTS } from './wall.ts';

const leave = () => {
  location.hash = '#/';
};

/** Keeps the screen on while the page is in sight, where the browser can: over https or on this computer. */
export function useAwake(): void {
  useEffect(() => {
    let lock: WakeLockSentinel | null = null;
    let gone = false;
    const hold = async () => {
      if (document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
      // a browser may refuse, as on an empty battery: the wall is shown all the same
      const held = await navigator.wakeLock.request('screen').catch(() => null);
      if (gone) void held?.release();
      else lock = held;
    };
    void hold();
    // the browser lets go of it whenever the page is out of sight
    document.addEventListener('visibilitychange', hold);
    return () => {
      gone = true;
      document.removeEventListener('visibilitychange', hold);
      void lock?.release();
    };
  }, []);
}

/** Fills the screen; Escape leads back to the benches, also where the browser itself takes it to leave the full screen. */
export function useFullScreen(): void {
  useEffect(() => {
    const onKey = ({ key }: KeyboardEvent) => {
      if (key === 'Escape') leave();
    };
    const onScreen = () => {
      if (document.fullscreenElement === null) leave();
    };
    // a browser lets a page fill the screen only just after somebody followed a link
    if (navigator.userActivation?.isActive) fillScreen();
    document.addEventListener('keydown', onKey);
    document.addEventListener('fullscreenchange', onScreen);
    return () => {
      document.removeEventListener('keydown', onKey);
      document.removeEventListener('fullscreenchange', onScreen);
      if (document.fullscreenElement !== null) void document.exitFullscreen().catch(() => null);
    };
  }, []);
}

/** Fills the whole screen, where the browser lets a page do so. */
export function fillScreen(): void {
  void document.documentElement.requestFullscreen?.().catch(() => null);
}

/**
 * How many giant numbers there is room for: as many as fit their list without being cut, at least one.
 * @param key changes with what is shown: room is then measured again
 */
export function useRoom(key: string): [RefObject<HTMLOListElement | null>, number] {
  const list = useRef<HTMLOListElement>(null);
  const [fit, setFit] = useState({ key, most: MOST_GIANTS });
  const most = fit.key === key ? fit.most : MOST_GIANTS;
  useLayoutEffect(() => {
    const isCut = list.current !== null && list.current.scrollHeight > list.current.clientHeight + 1;
    if (isCut && most > 1) setFit({ key, most: most - 1 });
  });
  useEffect(() => {
    const again = () => setFit({ key: '', most: MOST_GIANTS });
    window.addEventListener('resize', again);
    void document.fonts.ready.then(again);
    return () => window.removeEventListener('resize', again);
  }, []);
  return [list, most];
}
