// Elements from plain values. Texts become text nodes: a name from a model is never read as markup.

type Child = Node | string | number | null | undefined | false;
type Attributes = Record<string, string | number | boolean | null | undefined | ((event: never) => void)>;

function fill(element: Element, attributes: Attributes, children: (Child | Child[])[]): void {
    for (const [name, value] of Object.entries(attributes)) {
        if (value === null || value === undefined || value === false) continue;
        if (typeof value === "function") element.addEventListener(name, value as EventListener);
        else element.setAttribute(name, value === true ? "" : String(value));
    }
    for (const child of children.flat()) {
        if (child === null || child === undefined || child === false) continue;
        element.append(child instanceof Node ? child : String(child));
    }
}

export function h<K extends keyof HTMLElementTagNameMap>(
    tag: K,
    attributes: Attributes = {},
    ...children: (Child | Child[])[]
): HTMLElementTagNameMap[K] {
    const element = document.createElement(tag);
    fill(element, attributes, children);
    return element;
}

export function svg<K extends keyof SVGElementTagNameMap>(
    tag: K,
    attributes: Attributes = {},
    ...children: (Child | Child[])[]
): SVGElementTagNameMap[K] {
    const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    fill(element, attributes, children);
    return element;
}

export function token(name: string): string {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

let last_number = 0;
export function fresh_id(stem: string): string {
    return `${stem}-${++last_number}`;
}
