// Bodies of which only the outside can be seen: their backs need not be drawn, which is half of the work.

/// Whether triangles [corner * 3 + axis, three corners each] close a space and turn their fronts away from
/// it: as many square metres look one way as the other, and the space within counts as more than nothing.
/// Open sheets, and bodies of which a face is turned over, are none.
export function is_closed_outward(corners: Float32Array): boolean {
    const sum = [0, 0, 0];
    let area = 0;
    let volume = 0;
    for (let i = 0; i < corners.length; i += 9) {
        const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(i, i + 9) as unknown as number[];
        const [ux, uy, uz] = [bx! - ax!, by! - ay!, bz! - az!];
        const [vx, vy, vz] = [cx! - ax!, cy! - ay!, cz! - az!];
        const across = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx] as const;
        sum[0]! += across[0];
        sum[1]! += across[1];
        sum[2]! += across[2];
        area += Math.hypot(...across);
        // From the first corner, near which single precision loses least.
        volume += across[0] * (ax! - corners[0]!) + across[1] * (ay! - corners[1]!) + across[2] * (az! - corners[2]!);
    }
    return volume > 0 && Math.hypot(...sum) < 1e-3 * area;
}
