//! The figures of a gauge carried elsewhere, and their sentences.

use serde_json::Value;
use sponson_readiness::pressure::{Air, Predicted, Spread};
use sponson_readiness::standard::PressurePolicy;

use super::{AirOutside, Bring, PressureAsked, in_mbar, psi};
use crate::reckoned::leak::mbar;

/// What was found, before it is put into words.
pub(super) struct Told<'a> {
    pub(super) asked: &'a PressureAsked,
    pub(super) here: Air,
    pub(super) there: Air,
    pub(super) found: Predicted,
    pub(super) spread: Spread,
    pub(super) vented_pa: i64,
    pub(super) bring: Option<Bring>,
}

impl Told<'_> {
    pub(super) fn figures(&self) -> Vec<(&'static str, Value)> {
        let gauge_pa = self.found.low_pa;
        let bring = self.bring;
        vec![
            ("gauge_pa", gauge_pa.into()),
            ("gauge_psi", psi(gauge_pa).into()),
            ("gauge_mbar", in_mbar(gauge_pa).into()),
            (
                "change_mbar",
                in_mbar(gauge_pa - self.asked.gauge_pa).into(),
            ),
            ("slack", self.is_slack().into()),
            ("vented_pa", self.vented_pa.max(0).into()),
            ("least_pa", self.spread.least_pa.into()),
            ("most_pa", self.spread.most_pa.into()),
            ("spread_gauge_pa", self.spread.gauge_pa.into()),
            ("spread_ambient_pa", self.spread.ambient_pa.into()),
            ("spread_moist_pa", self.spread.moist_pa.into()),
            ("bring_to_pa", bring.map(|it| it.to_pa).into()),
            ("bring_to_mbar", bring.map(|it| in_mbar(it.to_pa)).into()),
            ("bring_to_reaches", bring.map(|it| it.reaches).into()),
        ]
    }

    const fn is_slack(&self) -> bool {
        self.found.low_pa == 0
    }

    pub(super) fn lines(&self) -> Vec<String> {
        let from = mbar(self.asked.gauge_pa);
        let shown = if self.is_slack() {
            format!("slack: {from} here is no pressure at all there")
        } else {
            let change = in_mbar(self.found.low_pa - self.asked.gauge_pa);
            format!(
                "{} there: {from} here, {change:+.1} mbar",
                mbar(self.found.low_pa)
            )
        };
        let mut lines = vec![shown];
        if self.vented_pa > 0 {
            lines.push(format!(
                "of the loss, {} by air that the relief valve lets out in the warm: no leak",
                mbar(self.vented_pa)
            ));
        }
        lines.push(self.spread_line());
        lines.push(format!(
            "air pressure outside: {:.1} hPa where it was read, {:.1} hPa there",
            self.here.ambient_pa / 100.0,
            self.there.ambient_pa / 100.0
        ));
        lines.extend(self.bring_line());
        lines
    }

    fn spread_line(&self) -> String {
        let spread = &self.spread;
        let least = if spread.least_pa == 0 {
            "slack".to_owned()
        } else {
            mbar(spread.least_pa)
        };
        format!(
            "it may be from {least} to {}: gauge {} either way, weather {} either way, moist air \
             up to {} less",
            mbar(spread.most_pa),
            mbar(spread.gauge_pa),
            mbar(spread.ambient_pa),
            mbar(spread.moist_pa),
        )
    }

    fn bring_line(&self) -> Option<String> {
        let (bring, wanted_pa) = (self.bring?, self.asked.wanted_pa?);
        let wanted = mbar(wanted_pa);
        if bring.reaches {
            return Some(format!(
                "bring it to {} here, and it shows {wanted} there",
                mbar(bring.to_pa)
            ));
        }
        Some(format!(
            "the relief valve holds no more than {} here: bring it to that, and top up there to \
             {wanted}",
            mbar(bring.to_pa)
        ))
    }
}

/// What was not given and so assumed.
pub(super) fn assumed(
    asked: &PressureAsked,
    policy: &PressurePolicy,
    measured: bool,
) -> Vec<String> {
    let mut assumed = vec![
        "a closed, rigid part that loses no air by itself, and a settled reading".to_owned(),
        format!(
            "gauge within {} either way, air inside at {} % humidity: settings of the county",
            mbar(i64::from(policy.gauge_accuracy_pa)),
            policy.fill_humidity_percent
        ),
    ];
    if asked.from == AirOutside::NotGiven {
        assumed.push("standard air pressure at sea level where it was read".to_owned());
    }
    if asked.to.is_none() {
        assumed.push("the same air pressure there".to_owned());
    }
    if !measured {
        assumed.push(format!(
            "weather within {} either way, since no air pressure was measured at both places",
            mbar(i64::from(policy.ambient_swing_pa))
        ));
    }
    if asked.relief_pa.is_some() {
        assumed.push("the relief valve lifts: below freezing it may not".to_owned());
        if asked.hottest_mc.is_none() {
            assumed.push("it met nothing hotter than the two temperatures given".to_owned());
        }
    }
    assumed
}

/// Where it comes from.
pub(super) fn sources(asked: &PressureAsked, to: AirOutside) -> Vec<String> {
    let mut sources = vec![
        "gas law for a closed, rigid part of dry air; real air differs by at most 73 Pa".to_owned(),
        "moist air: vapour that condenses, Buck (1981), J. Appl. Meteorol. 20, 1527".to_owned(),
    ];
    let by = |is: fn(AirOutside) -> bool| is(asked.from) || is(to);
    if by(|air| matches!(air, AirOutside::Elevation(_) | AirOutside::NotGiven)) {
        sources.push("air pressure by elevation: US Standard Atmosphere 1976, ISO 2533".to_owned());
    }
    if by(|air| matches!(air, AirOutside::Altimeter(..))) {
        sources.push(
            "altimeter setting to station pressure: Smithsonian Meteorological Tables (1951) p. 269"
                .to_owned(),
        );
    }
    sources
}
