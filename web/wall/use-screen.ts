import { useEffect } from 'preact/hooks';

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

/** Escape leads back to the benches, also where the browser itself takes it to leave the full screen. */
export function useEscape(): void {
  useEffect(() => {
    const onKey = ({ key }: KeyboardEvent) => {
      if (key === 'Escape') leave();
    };
    const onScreen = () => {
      if (document.fullscreenElement === null) leave();
    };
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
