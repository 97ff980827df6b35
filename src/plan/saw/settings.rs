//! The settings of the saw that a bar depends on, and what its strips become when they are off.
//!
//! One setting serves every cut that uses it: all strips at one tilt share the blade's error, all
//! at one tilt and fence distance share the fence's. So errors are common to the parts, which is
//! what adds them up round a bar. A fence is set to a distance on the table, and stays there
//! whatever the blade's tilt turns out to be.

use std::sync::Arc;

use crate::plan::{
    count::lay::Profile,
    count::sheets::same_both_ways,
    saw::SawLimits,
    saw::again::{Again, on_line, wood_corners},
    saw::rip::{Rip, RipOff, SAME},
    saw::rip_method::{Handling, rip_method},
};
use crate::{
    geom::{Point, Polygon, TOLERANCE},
    stock::{
        Bar, Sheet, Strip,
        strip::{Origin, Side},
    },
};

/// Something that can be off.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// The blade's tilt. An error above 0 is more tilt from vertical, in degrees; for a square
    /// blade, a lean away from the fence.
    Tilt {
        /// Nominal, in degrees from vertical.
        tilt: f64,
    },
    /// The fence, or the stop where strips fall free. An error above 0 is farther from the blade, in
    /// mm.
    Fence {
        /// The tilt it is used with, in degrees from vertical.
        tilt: f64,
        /// Nominal, in mm on the table: from the fence to the blade's near side, from the stop to its
        /// far side.
        fence: f64,
        /// How much of it makes up for the kerf of a later cut.
        for_kerf: f64,
        /// Whether it is a stop.
        stop: bool,
    },
    /// The sheet. An error above 0 is a thicker sheet, in mm.
    Thickness {
        /// The sheet.
        sheet: Arc<Sheet>,
    },
}

impl Setting {
    /// Whether its errors are degrees; else they are mm.
    pub fn in_degrees(&self) -> bool {
        matches!(self, Self::Tilt { .. })
    }
}

/// All settings that a bar depends on: tilts, then fences, then sheets, each in the order in which
/// the parts name them.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    list: Vec<Setting>,
    limits: SawLimits,
}

impl Settings {
    /// Those of a bar on a saw.
    pub fn of(bar: &Bar, limits: &SawLimits) -> Self {
        let mut all = Self {
            list: Vec::new(),
            limits: *limits,
        };
        for part in bar.parts() {
            all.gather(&part.strip, 0.0);
        }
        // A stable sort: the order of first use stays within each kind.
        all.list.sort_by_key(|s| match s {
            Setting::Tilt { .. } => 0,
            Setting::Fence { .. } => 1,
            Setting::Thickness { .. } => 2,
        });
        all
    }

    /// The settings; errors are given in this order.
    pub fn list(&self) -> &[Setting] {
        &self.list
    }

    /// `for_kerf`: how much wider the strip is ripped for cuts that follow.
    fn gather(&mut self, strip: &Strip, for_kerf: f64) {
        if let (Origin::Strip { from, .. }, Some(cut)) = (strip.origin(), Again::of(strip)) {
            let own = cut.slant().map_or(0.0, |slant| self.limits.kerf * slant);
            self.gather(from, for_kerf + own);
            self.add_tilt(cut.tilt());
            self.add_fence(cut.tilt(), cut.fence(), 0.0, false);
        } else {
            let (rip, stop) = self.rip(strip, for_kerf);
            self.add_tilt(rip.first_tilt());
            self.add_tilt(rip.second_tilt());
            self.add_fence(rip.second_tilt(), rip.fence(), for_kerf, stop);
            if self.thickness(strip.sheet()).is_none() {
                let sheet = Arc::clone(strip.sheet());
                self.list.push(Setting::Thickness { sheet });
            }
        }
    }

    fn add_tilt(&mut self, tilt: f64) {
        if self.tilt(tilt).is_none() {
            self.list.push(Setting::Tilt { tilt });
        }
    }

    fn add_fence(&mut self, tilt: f64, fence: f64, for_kerf: f64, stop: bool) {
        if self.fence(tilt, fence).is_none() {
            self.list.push(Setting::Fence {
                tilt,
                fence,
                for_kerf,
                stop,
            });
        }
    }

    /// How a strip leaves the sheet, and whether it falls free beside a stop.
    fn rip(&self, strip: &Strip, for_kerf: f64) -> (Rip, bool) {
        let rip = Rip::of(strip);
        let sheet = strip.sheet();
        let profile = Profile::of(&strip.as_ripped(), sheet.thickness()).widened(for_kerf);
        let method = rip_method(profile, same_both_ways(sheet), &self.limits);
        let free = method.is_ok_and(|m| m.handling == Handling::Free);
        (if free { rip.falling_free() } else { rip }, free)
    }

    fn tilt(&self, wanted: f64) -> Option<usize> {
        self.list
            .iter()
            .position(|s| matches!(s, Setting::Tilt { tilt } if (tilt - wanted).abs() <= SAME))
    }

    fn fence(&self, with: f64, wanted: f64) -> Option<usize> {
        self.list.iter().position(|s| {
            matches!(s, Setting::Fence { tilt, fence, .. }
                if (tilt - with).abs() <= SAME && (fence - wanted).abs() <= SAME)
        })
    }

    fn thickness(&self, wanted: &Sheet) -> Option<usize> {
        self.list
            .iter()
            .position(|s| matches!(s, Setting::Thickness { sheet } if **sheet == *wanted))
    }

    /// The section that a strip of the bar comes out with, as it lies, edge for edge the same,
    /// when each setting is off by its error (in the order of [`Settings::list`]; a missing one
    /// counts as 0). A pointed edge stays pointed.
    pub fn section(&self, strip: &Strip, errors: &[f64]) -> Polygon {
        let lie = strip.lie();
        let corners = self.corners(strip, errors, 0.0);
        let laid: Vec<Point> = corners.into_iter().map(|p| lie.apply(p)).collect();
        Polygon::clockwise(laid)
    }

    /// Its corners in the wood's own frame, in the order in which the strip lies.
    fn corners(&self, strip: &Strip, errors: &[f64], for_kerf: f64) -> Vec<Point> {
        let lines = self.lines(strip, errors, for_kerf);
        let n = lines.len();
        let nominal = wood_corners(strip);
        (0..n)
            .map(|i| meet(lines[(i + n - 1) % n], lines[i]).unwrap_or(nominal[i]))
            .collect()
    }

    /// A line along each edge of the strip's section, in the wood's own frame.
    fn lines(&self, strip: &Strip, errors: &[f64], for_kerf: f64) -> Vec<[Point; 2]> {
        let error = |i: Option<usize>| i.and_then(|i| errors.get(i)).copied().unwrap_or(0.0);
        let corners = wood_corners(strip);
        let n = corners.len();
        let middles = (0..n).map(|i| corners[i].towards(corners[(i + 1) % n], 0.5));
        if let (Origin::Strip { from, .. }, Some(cut)) = (strip.origin(), Again::of(strip)) {
            let parent = wood_corners(from);
            let m = parent.len();
            let own = cut.slant().map_or(0.0, |slant| self.limits.kerf * slant);
            let parent_lines = self.lines(from, errors, for_kerf + own);
            let new = cut.cut_face(
                &self.corners(from, errors, for_kerf + own),
                error(self.tilt(cut.tilt())),
                error(self.fence(cut.tilt(), cut.fence())),
            );
            return middles
                .map(|p| {
                    (0..m)
                        .find(|&i| on_line(p, parent[i], parent[(i + 1) % m]))
                        .map_or(new, |i| parent_lines[i])
                })
                .collect();
        }
        let (rip, _) = self.rip(strip, for_kerf);
        let depth = rip.depth() + error(self.thickness(strip.sheet()));
        let [left, right] = rip.cut_faces(RipOff {
            first_tilt: error(self.tilt(rip.first_tilt())),
            second_tilt: error(self.tilt(rip.second_tilt())),
            fence: error(self.fence(rip.second_tilt(), rip.fence())),
            depth: depth - rip.depth(),
        });
        let level = |y: f64| [Point::new(0.0, y), Point::new(1.0, y)];
        let centre = strip.as_ripped().centroid().x;
        strip
            .sides()
            .iter()
            .zip(middles)
            .map(|(side, middle)| match side {
                Side::Face => level(0.0),
                Side::Back => level(depth),
                Side::Cut if middle.x < centre => left,
                Side::Cut => right,
            })
            .collect()
    }
}

/// Where two lines cross; none where they are parallel.
fn meet(a: [Point; 2], b: [Point; 2]) -> Option<Point> {
    let (u, v) = (a[1] - a[0], b[1] - b[0]);
    let cross = u.cross(v);
    (cross.abs() > TOLERANCE / 1e6 * u.length() * v.length())
        .then(|| a[0] + u * ((b[0] - a[0]).cross(v) / cross))
}
