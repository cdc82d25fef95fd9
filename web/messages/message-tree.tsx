import type { TreeNode } from './mapping-form.ts';

type TreeProps = {
  readonly node: TreeNode;
  /** what a tap on a value is for */
  readonly use: string;
  /** what each pointer is read as already */
  readonly readAs: ReadonlyMap<string, string>;
  readonly onPick: (pointer: string) => void;
};

/** A message as a tree; each value is a button that says where it stands. */
export function MessageTree(props: TreeProps) {
  return (
    <ul class="message-tree" data-testid="message-tree">
      <Branch {...props} />
    </ul>
  );
}

function Branch({ node, use, readAs, onPick }: TreeProps) {
  const { key, pointer, text, children } = node;
  const read = readAs.get(pointer);
  if (text !== null) {
    return (
      <li>
        <button
          type="button"
          class={read ? 'read' : ''}
          data-pointer={pointer}
          onClick={() => onPick(pointer)}
        >
          <span class="unseen">{use}: </span>
          {key} <b>{text}</b>
          {read && <i> · {read}</i>}
        </button>
      </li>
    );
  }
  return (
    <li>
      <span class="quiet">{key}</span>
      <ul>
        {children.map((child) => (
          <Branch key={child.pointer} node={child} use={use} readAs={readAs} onPick={onPick} />
        ))}
        {children.length === 0 && <li class="quiet">(empty)</li>}
      </ul>
    </li>
  );
}
