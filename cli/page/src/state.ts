// What the reader has chosen, and who wants to know of changes.
import type { System } from "./units";

export type Paint = "sun_period" | "sun_hour" | "outside" | "inward" | "rank" | "finish";

export interface Choices {
    paint: Paint;
    day: number;
    hour: number;
    surface: number | null;
    unit: number;
    /// Which budget of the plan's frontier.
    plan: number;
    system: System;
    dark: boolean;
    hidden: ReadonlySet<string>;
}

type Key = keyof Choices;

export class State {
    private listeners: { keys: Key[]; call: () => void }[] = [];
    constructor(private values: Choices) {}

    get now(): Readonly<Choices> {
        return this.values;
    }

    set(changes: Partial<Choices>): void {
        const changed = (Object.keys(changes) as Key[]).filter((key) => this.values[key] !== changes[key]);
        if (changed.length === 0) return;
        this.values = { ...this.values, ...changes };
        for (const { keys, call } of this.listeners) {
            if (keys.some((key) => changed.includes(key))) call();
        }
    }

    on(keys: Key[], call: () => void): void {
        this.listeners.push({ keys, call });
    }
}
