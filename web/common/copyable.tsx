import { useRef, useState } from 'preact/hooks';
import { say } from '../state.ts';
import { Scrolling } from './keys/scrolling.tsx';

/** Lines to paste elsewhere, with a button that copies them where the browser lets it. */
export function Copyable({ label, lines }: { readonly label?: string; readonly lines: string }) {
  const code = useRef<HTMLElement>(null);
  const [copied, setCopied] = useState('');
  const select = () => {
    if (!code.current) return;
    getSelection()?.selectAllChildren(code.current);
    setCopied('Selected: copy it with the keyboard');
  };
  const copy = async () => {
    if (!navigator.clipboard) return select();
    await navigator.clipboard.writeText(lines).then(() => {
      setCopied('Copied');
      say('Copied.');
    }, select);
  };
  return (
    <div class="command">
      {label && <p>{label}</p>}
      <Scrolling as="pre" name={label || 'To copy'}>
        <code ref={code}>{lines}</code>
      </Scrolling>
      <span class="row">
        <button type="button" aria-label={label && `Copy: ${label}`} onClick={() => void copy()}>
          Copy
        </button>
        <span>{copied}</span>
      </span>
    </div>
  );
}
