/** International foot, exactly 0.3048 m (US National Bureau of Standards, 1959). */
export const FOOT_M = 0.3048;
