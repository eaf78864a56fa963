/** What the marks in a line of the ladder mean. */
export function Key({ bands }: { bands: boolean }) {
  return (
    <ul className="key" aria-label="Key to the ladder">
      <li>
        <svg viewBox="0 0 36 14" aria-hidden="true">
          <line
            x1="0"
            x2="36"
            y1="7"
            y2="7"
            stroke="currentColor"
            strokeWidth="1.5"
            strokeDasharray="1.5 4"
            strokeLinecap="round"
          />
        </svg>
        waiting
      </li>
      <li>
        <svg viewBox="0 0 36 14" aria-hidden="true">
          <defs>
            <pattern id="key-lead" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
              <line x1="1" x2="1" y1="0" y2="7" stroke="currentColor" strokeWidth="1.5" />
            </pattern>
          </defs>
          <rect x="0.5" y="0.5" width="35" height="13" fill="url(#key-lead)" stroke="currentColor" />
        </svg>
        lead time
      </li>
      <li>
        <svg viewBox="0 0 36 14" aria-hidden="true">
          <line x1="18" x2="18" y1="0" y2="14" stroke="currentColor" strokeWidth="2.5" />
        </svg>
        arrival
      </li>
      <li>
        <svg viewBox="0 0 36 14" aria-hidden="true">
          <rect width="36" height="14" fill="currentColor" />
        </svg>
        work in turn to the end, as quoted
      </li>
      {bands && (
        <li>
          <svg viewBox="0 0 36 14" aria-hidden="true">
            <rect x="0.75" y="3.75" width="34.5" height="6.5" fill="none" stroke="currentColor" strokeWidth="1.5" />
          </svg>
          its end, from even odds to 4 in 5
        </li>
      )}
      <li>
        <svg viewBox="0 0 36 14" aria-hidden="true">
          <path d="M1 0v14M0 1h36M0 13h36" stroke="currentColor" strokeWidth="1.5" strokeDasharray="6 3" fill="none" />
        </svg>
        no source or remedy, so no end
      </li>
    </ul>
  );
}
