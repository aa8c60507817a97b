// The words about rooms, plants, layers of defence and constructions; see text.ts.

export const heat_text = {
    rooms: {
        intro: (limited: boolean) =>
            `Cooling and heating are what the plant moves, electricity what it draws for that. Plant is the rated capacity that meets every hour.${limited ? " Not met: hours in which the plant that is there left the room too warm." : ""} The last two columns are for a room without cooling.`,
        sizes: "Sizes only: this run stopped before the heat.",
        columns: {
            id: "Room",
            floor: "Floor",
            volume: "Volume",
            cooling: "Cooling",
            heating: "Heating",
            electricity: "Electricity",
            bill: "Bill",
            peak: "Peak load",
            when: "When",
            plant: "Plant",
            not_met: "Not met",
            free: "Free peak",
            too_hot: "Too hot",
        },
        choose: "Room",
    },
    plants: {
        title: "Plant sizes",
        intro: (peak: string, range: string, dew: string, sun: string, rated: string) =>
            `By the year's largest load, and by the handbook's design day made from the year: ${peak}, which 0.4 % of the hours pass, a daily range of ${range}, a dew point of ${dew} and the sun of ${sun}. Rated means with outdoor air of ${rated}. To buy is the next common size for the larger of the two; a licensed engineer confirms sizes before anything is bought.`,
        columns: {
            sensible: "Year: air",
            latent: "Year: vapour",
            rated: "Year: rated",
            day_sensible: "Day: air",
            day_latent: "Day: vapour",
            day_rated: "Day: rated",
            buy: "To buy",
        },
    },
    uncooled: {
        title: "Without cooling",
        intro: (limit: string, wbgt: string) =>
            `Too hot are the hours in which the mean of air and wall temperature is above the adaptive limit (${limit}), degree-hours by how much. WBGT is the wet-bulb globe temperature (ISO 7243), an indication of heat stress: above ${wbgt} even light work strains people who are used to heat. Local health advice comes first.`,
        columns: {
            free: "Hottest air",
            when: "When",
            too_hot: "Too hot",
            degree_hours: "Degree-hours",
            wbgt: "Highest WBGT",
            wbgt_hours: (limit: string) => `WBGT above ${limit}`,
        },
    },
    constructions: {
        title: "Constructions",
        intro: "What surfaces are made of as they stand, layers from outside to inside. U is the thermal transmittance by ISO 6946 with its surface resistances; absorptance is of the sun, emittance of longwave, lets in the share of the sun that glass lets through.",
        on: { roofs: "roofs", walls: "walls", floors: "floors", shades: "shades" } as Record<string, string>,
        layer: (thickness: string, material: string) => `${thickness} ${material}`,
        resistance: (value: string) => `a resistance of ${value}`,
        columns: {
            name: "Construction",
            on: "On",
            surfaces: "Surfaces",
            area: "Area",
            u: "U",
            absorptance: "Absorptance",
            lets_in: "Lets in",
            emittance: "Emittance",
            layers: "Layers",
        },
    },
    materials: {
        title: "Materials",
        columns: { name: "Material", conductivity: "Conductivity", density: "Density", specific_heat: "Specific heat", source: "Source" },
    },
    defence: {
        intro: "The whole building as it stands, then with each layer added to those before it, on every surface where it fits. Rooms are told without cooling: the hottest of them, and the most hours that any is too hot.",
        stands: "As it stands",
        plus: (name: string) => `+ ${name}`,
        columns: {
            layer: "Layer",
            area: "Treated",
            cost: "Cost so far",
            steel: "Hottest steel",
            room: "Hottest room",
            too_hot: "Too hot",
            cooling: "Cooling",
            heating: "Heating",
            electricity: "Electricity",
            bill: "Bill",
            plants: "Plants",
        },
        chart: "Electricity over the period",
        air: (speed: string, outlet: string, power: string, heat: string) =>
            `Behind the cladding air rises at up to ${speed}, leaves at up to ${outlet}, carries up to ${power} away and ${heat} over the period.`,
    },
} as const;
