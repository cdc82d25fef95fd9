/** The safety words in full: shown at first run and opened from the foot of every page. */
export function SafetyWords() {
  return (
    <ul class="safety">
      <li>Strikewell watches. It is not a safety device and it switches nothing.</li>
      <li>
        Mains near water: residual-current protection, damp-rated fittings, a licensed electrician, and the
        local code.
      </li>
      <li>Heat mats run on their maker's thermostat, never under covers.</li>
      <li>The labels of pesticides and hormones are the law.</li>
      <li>Standing mist water: slippery floors, backflow rules, Legionella guidance.</li>
      <li>Test the whole alert path, from the probe to the person, on a schedule.</li>
    </ul>
  );
}

/** The foot of every page. */
export function PageFoot() {
  return (
    <footer class="page-foot">
      <p>
        <strong>Strikewell watches; it is not a safety device and switches nothing.</strong> Mains near water
        wants residual-current protection and an electrician.
      </p>
      <p>
        <a href="#/begin">Getting started</a>
      </p>
      <details>
        <summary>All safety notes</summary>
        <SafetyWords />
      </details>
    </footer>
  );
}
