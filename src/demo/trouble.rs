//! What goes wrong with the machines: which items fail how often, what is seen, what is done about it.
//!
//! A table and nothing else. Weights, hours and causes are invented for the demo and say nothing about real machines.

/// One way in which an item fails.
pub struct Trouble {
    pub item: &'static str,
    /// How often, beside the others.
    pub weight: i64,
    /// What the person who found it writes.
    pub what: &'static [&'static str],
    /// How a machine that is only restricted may still be used.
    pub restriction: &'static str,
    /// Why the item is left out while the restriction lasts; empty when it is done and just passes.
    pub left_out: &'static str,
    pub remedies: &'static [Remedy],
}

/// What is done about it.
pub struct Remedy {
    pub weight: i64,
    pub cause: &'static str,
    pub work: &'static str,
    pub parts: &'static [&'static str],
    /// Minutes of work, fewest and most.
    pub minutes: (i64, i64),
    /// What is waited for, and the fewest and most hours.
    pub wait: Option<(&'static str, i64, i64)>,
}

/// Returns a remedy without parts and waits.
pub const fn remedy(weight: i64, cause: &'static str, work: &'static str, minutes: (i64, i64)) -> Remedy {
    Remedy { weight, cause, work, parts: &[], minutes, wait: None }
}

/// Returns a remedy with parts, and what is waited for.
pub const fn fitted(
    weight: i64,
    cause: &'static str,
    work: &'static str,
    minutes: (i64, i64),
    parts: &'static [&'static str],
    wait: Option<(&'static str, i64, i64)>,
) -> Remedy {
    Remedy { weight, cause, work, parts, minutes, wait }
}

const fn trouble(
    weight: i64,
    item: &'static str,
    what: &'static [&'static str],
    remedies: &'static [Remedy],
) -> Trouble {
    Trouble { item, weight, what, restriction: "", left_out: "", remedies }
}

/// What stands in for an item that is not in the table.
pub static ANY: Trouble = Trouble {
    item: "",
    weight: 0,
    what: &["item failed at the check", "did not do what the item asks for, tried twice"],
    restriction: "use only with this item checked by hand before each patient",
    left_out: "restricted, see the fault record",
    remedies: &[
        remedy(3, "wear-or-age", "Part cleaned, adjusted and tested.", (30, 120)),
        remedy(1, "no-fault-found", "Tested for an hour; could not be made to happen again.", (60, 90)),
    ],
};

/// The troubles that checks show.
pub static TROUBLES: [Trouble; 21] = [
    trouble(
        24,
        "circuit-leak",
        &[
            "breathing system does not hold pressure; hissing near the canister",
            "pressure falls too fast, new tubing makes no difference",
            "leak at the breathing system, re-seated twice without effect",
        ],
        &[
            fitted(
                6,
                "wear-or-age",
                "Canister seal worn and replaced. Leak test repeated three times.",
                (30, 75),
                &["canister seal"],
                None,
            ),
            fitted(
                3,
                "wear-or-age",
                "Relief valve leaking; exchanged for a new one.",
                (50, 110),
                &["relief valve assembly"],
                Some(("parts", 20, 96)),
            ),
            remedy(4, "use-error", "Canister had been put in askew. Seated correctly; staff shown again.", (15, 35)),
            fitted(
                3,
                "accessory-or-consumable",
                "Water trap cracked; replaced from stock.",
                (15, 30),
                &["water trap"],
                None,
            ),
            remedy(3, "no-fault-found", "Leak test repeated five times, all within the limit.", (45, 80)),
        ],
    ),
    trouble(
        15,
        "suction",
        &[
            "suction builds up far too slowly",
            "no vacuum at the suction tube",
            "suction holds only while the tube is moved",
        ],
        &[
            fitted(
                5,
                "accessory-or-consumable",
                "Filter of the suction unit wet; replaced.",
                (15, 40),
                &["suction filter"],
                None,
            ),
            remedy(3, "contamination", "Regulator blocked by dried residue. Taken apart, cleaned, tested.", (60, 130)),
            remedy(
                2,
                "supply-or-utility",
                "Vacuum at the wall outlet too low; works department reset the pump.",
                (40, 120),
            ),
            remedy(2, "use-error", "Lid of the jar not closed. Closed; staff shown again.", (10, 20)),
        ],
    ),
    Trouble {
        item: "scavenging",
        weight: 10,
        what: &["float of the scavenging indicator below its band", "scavenging indicator does not move"],
        restriction: "intravenous anaesthesia only until scavenging is repaired",
        left_out: "",
        remedies: &[
            remedy(4, "contamination", "Lint on the inlet screen of the receiver removed, flow set anew.", (25, 60)),
            remedy(3, "supply-or-utility", "Extraction pump had stopped after a power cut; restarted.", (30, 70)),
            fitted(
                3,
                "wear-or-age",
                "Hose to the receiver split; replaced.",
                (20, 45),
                &["scavenging hose"],
                Some(("parts", 22, 80)),
            ),
        ],
    },
    Trouble {
        item: "scavenging-passive",
        weight: 8,
        what: &["scavenging hose kinked behind the machine", "scavenging hose does not stay on its port"],
        restriction: "intravenous anaesthesia only until the hose is mended",
        left_out: "",
        remedies: &[
            fitted(
                3,
                "physical-damage",
                "Hose crushed by the trolley; replaced.",
                (15, 40),
                &["scavenging hose"],
                None,
            ),
            remedy(2, "use-error", "Hose had been left on the wrong side of the pendant. Led correctly.", (10, 25)),
        ],
    },
    Trouble {
        item: "battery",
        weight: 10,
        what: &["battery shows half charged after a night on the mains", "battery warning lit"],
        restriction: "use only beside a socket on emergency power; not for transfers",
        left_out: "battery does not hold its charge, see the restriction",
        remedies: &[
            fitted(
                6,
                "battery",
                "Battery pack at its end of life; replaced and charged overnight.",
                (30, 60),
                &["battery pack"],
                Some(("parts", 24, 120)),
            ),
            remedy(3, "battery", "Charger contact cleaned; battery charged overnight and tested.", (40, 80)),
            remedy(2, "use-error", "Machine had been unplugged for cleaning. Charged; cleaners told.", (20, 40)),
        ],
    },
    Trouble {
        item: "vaporizers-filled",
        weight: 11,
        what: &["filler of the vaporizer does not seem tight", "smell of agent at the filler of the vaporizer"],
        restriction: "do not use this vaporizer; the machine may be used without it",
        left_out: "vaporizer taken off, see the restriction",
        remedies: &[
            fitted(
                4,
                "wear-or-age",
                "Seal of the filler replaced.",
                (30, 70),
                &["filler seal"],
                Some(("parts", 24, 100)),
            ),
            fitted(2, "physical-damage", "Filler cap cracked in a fall; replaced.", (20, 45), &["filler cap"], None),
            remedy(2, "no-fault-found", "Filler closes tightly on ten tries.", (30, 50)),
        ],
    },
    Trouble {
        item: "vaporizer-leak",
        weight: 6,
        what: &["bulb fills at once with this vaporizer turned on"],
        restriction: "do not use this vaporizer; the machine may be used without it",
        left_out: "vaporizer taken off, see the restriction",
        remedies: &[
            fitted(4, "wear-or-age", "Sealing rings of the mount replaced.", (20, 50), &["2 sealing rings"], None),
            remedy(2, "use-error", "Vaporizer had been set down unlocked. Locked; leak test repeated.", (15, 30)),
        ],
    },
    trouble(
        8,
        "low-oxygen-alarm",
        &["low oxygen alarm does not sound", "low oxygen alarm can be seen and not heard"],
        &[
            fitted(
                4,
                "wear-or-age",
                "Loudspeaker replaced.",
                (60, 120),
                &["alarm loudspeaker"],
                Some(("parts", 18, 72)),
            ),
            remedy(
                3,
                "use-error",
                "Alarm volume had been turned down to nothing. Lowest volume set in the menu.",
                (20, 40),
            ),
            remedy(2, "software", "Monitor restarted with the maker's current software.", (60, 140)),
        ],
    ),
    trouble(
        6,
        "oxygen-monitor-air",
        &["oxygen reading in room air outside its limit, calibration refused"],
        &[
            fitted(5, "calibration-drift", "Oxygen cell replaced and calibrated.", (25, 50), &["oxygen cell"], None),
            fitted(
                2,
                "wear-or-age",
                "Cable of the sensor broken inside; replaced.",
                (30, 60),
                &["sensor cable"],
                Some(("parts", 24, 90)),
            ),
        ],
    ),
    trouble(
        4,
        "oxygen-monitor-flush",
        &["oxygen reading stays low after a minute of flush"],
        &[
            fitted(
                3,
                "calibration-drift",
                "Oxygen cell slow; replaced and calibrated.",
                (25, 50),
                &["oxygen cell"],
                None,
            ),
            remedy(2, "contamination", "Water in front of the sensor. Dried; sensor turned face down.", (20, 40)),
        ],
    ),
    trouble(
        7,
        "low-pressure-leak",
        &["bulb fills within a few seconds, all vaporizers off"],
        &[
            fitted(3, "wear-or-age", "Hose at the common gas outlet split; replaced.", (30, 70), &["gas hose"], None),
            fitted(
                2,
                "wear-or-age",
                "Flow control block leaking; exchanged.",
                (120, 200),
                &["flow control block"],
                Some(("parts", 48, 150)),
            ),
            remedy(2, "service-induced", "Union left loose at the last service. Tightened and tested.", (30, 60)),
        ],
    ),
    trouble(
        7,
        "self-test",
        &["self-test ends with a warning about the flow sensor", "self-test stops at the leak test"],
        &[
            fitted(4, "accessory-or-consumable", "Flow sensor replaced.", (15, 40), &["flow sensor"], None),
            remedy(3, "no-fault-found", "Self-test passed five times in a row.", (50, 90)),
            remedy(2, "software", "Maker's current software loaded; self-test passed.", (90, 160)),
        ],
    ),
    trouble(
        6,
        "monitors",
        &["blood pressure cuff does not inflate", "capnograph line shows an occlusion that cannot be cleared"],
        &[
            fitted(4, "accessory-or-consumable", "Hose and cuff replaced.", (15, 30), &["cuff hose"], None),
            remedy(2, "contamination", "Water in the sampling module; dried and flushed.", (60, 120)),
        ],
    ),
    trouble(
        5,
        "gas-flow",
        &["expiratory valve sticks", "bag fills and does not empty on the two-bag test"],
        &[
            fitted(4, "wear-or-age", "Disc of the expiratory valve replaced.", (20, 45), &["valve disc"], None),
            remedy(2, "contamination", "Valve disc stuck by moisture. Dried; seat cleaned.", (20, 40)),
        ],
    ),
    trouble(
        5,
        "ventilator",
        &["ventilator leaves pressure behind after each breath", "bellows do not fill fully"],
        &[
            fitted(
                3,
                "wear-or-age",
                "Drive valve of the ventilator worn; exchanged.",
                (90, 180),
                &["drive valve"],
                Some(("parts", 48, 168)),
            ),
            remedy(1, "no-fault-found", "Ran for three hours on a test lung without a fault.", (180, 220)),
        ],
    ),
    trouble(
        5,
        "absorbent",
        &["absorbent violet to the outlet, date on the canister three weeks old"],
        &[fitted(3, "accessory-or-consumable", "Absorbent changed.", (15, 25), &["absorbent"], None)],
    ),
    trouble(
        3,
        "backup-ventilation",
        &["self-inflating bag missing from the machine", "valve of the self-inflating bag torn"],
        &[fitted(
            3,
            "accessory-or-consumable",
            "New self-inflating bag put in place and tested.",
            (10, 25),
            &["self-inflating bag"],
            None,
        )],
    ),
    trouble(
        3,
        "flow-controls",
        &["float of the oxygen flowmeter sticks at 2 L/min"],
        &[fitted(
            2,
            "contamination",
            "Flowmeter tube cleaned, float replaced.",
            (90, 150),
            &["float"],
            Some(("maker", 30, 120)),
        )],
    ),
    trouble(
        2,
        "power-on",
        &["machine does not start from the mains"],
        &[fitted(
            2,
            "supply-or-utility",
            "Fuse of the socket strip blown; strip replaced.",
            (30, 60),
            &["socket strip"],
            None,
        )],
    ),
    trouble(
        2,
        "pipeline-pressure",
        &["pipeline pressure below its limit"],
        &[remedy(2, "supply-or-utility", "Zone regulator set anew by the works department.", (40, 100))],
    ),
    trouble(
        // Comes from the cylinder itself, which empties slowly.
        0,
        "spare-oxygen-cylinder",
        &["spare oxygen cylinder too low", "spare oxygen cylinder found low, it had been left open"],
        &[
            fitted(3, "supply-or-utility", "Cylinder changed for a full one.", (10, 25), &["oxygen cylinder"], None),
            fitted(
                1,
                "use-error",
                "Cylinder had been left open after the last check. Changed; staff reminded to close it.",
                (10, 25),
                &["oxygen cylinder"],
                None,
            ),
        ],
    ),
];

/// Returns the trouble of an item.
pub fn of(item: &str) -> &'static Trouble {
    TROUBLES.iter().find(|trouble| trouble.item == item).unwrap_or(&ANY)
}
