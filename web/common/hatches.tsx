/** The two hatches of the page, defined once: falling lines for below, rising lines for above. */
export function Hatches() {
  return (
    <svg width="0" height="0" class="unseen" aria-hidden="true">
      <defs>
        <pattern id="hatch-below" width="6" height="6" patternUnits="userSpaceOnUse">
          <path class="hatch-below" stroke-width="1.5" d="M-1-1l8 8M-1 5l2 2M5-1l2 2" />
        </pattern>
        <pattern id="hatch-above" width="6" height="6" patternUnits="userSpaceOnUse">
          <path class="hatch-above" stroke-width="1.5" d="M-1 7l8-8M-1 1l2-2M5 7l2-2" />
        </pattern>
      </defs>
    </svg>
  );
}
