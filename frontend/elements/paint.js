/**
 * Brings the page into the shape of a tree, touching only what differs, so that the
 * focus, the caret and a half-drawn signature survive every repaint. Text goes in as
 * text nodes alone: a name cannot become markup.
 *
 * An attribute set may also hold: `key` (which of several like elements this is), `on`
 * (event name -> function), `props` (element properties), `mounted` (called once in the page).
 */

const trees = new WeakMap();
const APART = new Set(['key', 'on', 'props', 'mounted']);
const isShown = (child) => child !== null && child !== undefined && child !== false && child !== '';

export const h = (tag, attributes, ...children) => ({
  tag,
  attributes: attributes ?? {},
  children: children.flat(Infinity).filter(isShown).map((c) => (c.tag ? c : String(c))),
});

function fits(node, tree) {
  const was = trees.get(node);
  if (was === undefined) return false;
  if (typeof tree === 'string' || typeof was === 'string') return typeof tree === typeof was;
  return was.tag === tree.tag && was.attributes.key === tree.attributes.key;
}

/** Makes the children of `parent` the `wanted` trees, in order. */
export function paint(parent, wanted) {
  const mounts = [];
  paintChildren(parent, wanted, mounts);
  for (const mount of mounts) mount();
}

function paintChildren(parent, wanted, mounts) {
  const free = [...parent.childNodes];
  const nodes = wanted.map((tree) => {
    const place = free.findIndex((node) => fits(node, tree));
    return place < 0 ? make(tree, mounts) : free.splice(place, 1)[0];
  });
  // Removed first: moving a node that stays would take the focus from it.
  for (const node of free) node.remove();
  nodes.forEach((node, place) => {
    if (parent.childNodes[place] !== node) parent.insertBefore(node, parent.childNodes[place] ?? null);
    refresh(node, wanted[place], mounts);
  });
}

function make(tree, mounts) {
  if (typeof tree === 'string') return document.createTextNode('');
  // A drawing names its namespace; everything else is of the page's own.
  const { xmlns } = tree.attributes;
  const node = xmlns ? document.createElementNS(xmlns, tree.tag) : document.createElement(tree.tag);
  if (tree.attributes.mounted) mounts.push(() => tree.attributes.mounted(node));
  return node;
}

function refresh(node, tree, mounts) {
  const was = trees.get(node);
  trees.set(node, tree);
  if (typeof tree === 'string') {
    if (node.data !== tree) node.data = tree;
    return;
  }
  refreshAttributes(node, was?.attributes ?? {}, tree.attributes);
  for (const name of Object.keys(was?.attributes.on ?? {})) node[`on${name}`] = null;
  for (const [name, act] of Object.entries(tree.attributes.on ?? {})) node[`on${name}`] = act;
  // A custom element keeps its own inside.
  if (!tree.tag.includes('-')) paintChildren(node, tree.children, mounts);
  for (const [name, value] of Object.entries(tree.attributes.props ?? {})) {
    if (node[name] !== value) node[name] = value;
  }
}

function refreshAttributes(node, was, wanted) {
  const names = new Set([...Object.keys(was), ...Object.keys(wanted)]);
  for (const name of names) {
    if (APART.has(name)) continue;
    const value = wanted[name];
    if (value === undefined || value === null || value === false) node.removeAttribute(name);
    else if (node.getAttribute(name) !== String(value === true ? '' : value)) {
      node.setAttribute(name, value === true ? '' : value);
    }
  }
}
