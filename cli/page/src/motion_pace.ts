// How fine pictures are while the view moves: as fine as this machine draws 30 of them a second.

const enough_ms = 1000 / 30;
/// Parts of the full resolution, each with half to two thirds of the pixels of the one before.
const shares = [1, 0.75, 0.55, 0.4];
/// A longer pause is no pace: the reader rested.
const rest_ms = 220;

export class MotionPace {
    private level = 0;
    /// So many fast pictures in a row before a finer one is tried; twice as many after each that failed.
    private patience = 12;
    private tried = false;
    private last_ms = -Infinity;
    private fast = 0;
    private slow = 0;

    /// Of the full resolution.
    get share(): number {
        return shares[this.level]!;
    }

    /// Nothing but less in the picture would make it faster.
    get is_coarsest(): boolean {
        return this.level === shares.length - 1;
    }

    /// Whether pictures of the full resolution took too long.
    get is_reduced(): boolean {
        return this.level > 0;
    }

    /// Told of every picture of the moving view; times between them say how long one takes.
    drawn(now_ms: number): void {
        const took_ms = now_ms - this.last_ms;
        this.last_ms = now_ms;
        if (took_ms > rest_ms * 2) {
            this.fast = this.slow = 0;
            return;
        }
        this.slow = took_ms > enough_ms ? this.slow + 1 : 0;
        // Twice as fast as needed: the next finer one would still do.
        this.fast = took_ms < enough_ms * 0.55 ? this.fast + 1 : 0;
        // One slow picture may be another program's doing, two are not.
        if (this.slow >= 2 && this.level < shares.length - 1) this.step(1);
        else if (this.fast >= this.patience && this.level > 0) this.step(-1);
    }

    private step(by: 1 | -1): void {
        if (by > 0 && this.tried) this.patience *= 2;
        this.tried = by < 0;
        this.level += by;
        this.fast = this.slow = 0;
    }
}

export const still_after_ms = rest_ms;
