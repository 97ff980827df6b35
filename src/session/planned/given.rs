//! What a plan is told from.

use super::objects::Cutout;
use crate::layout::panel::Panel;
use crate::plan::{Plan, Shop, shop::sliced::Sliced};
use crate::recipe::outcome::Outcome;

/// What a plan is told from.
#[derive(Debug)]
pub struct Planned<'a> {
    /// The recipe as typed.
    pub recipe: String,
    /// The shop file as typed.
    pub shop_file: Option<String>,
    /// What the recipe made.
    pub outcome: &'a Outcome,
    /// The panels that are planned.
    pub panels: Vec<&'a Panel>,
    /// The shop.
    pub shop: &'a Shop,
    /// The plan.
    pub plan: &'a Plan,
    /// Small objects with their places.
    pub cutouts: Vec<Cutout>,
    /// How much thinner one side came out, in mm, where that is known.
    pub thinner: Option<f64>,
}

/// A shop, and the name of its file where it has one.
#[derive(Debug, Clone)]
pub struct ShopFile {
    /// As typed.
    pub name: Option<String>,
    /// The shop.
    pub shop: Shop,
}

impl ShopFile {
    /// The common values.
    pub fn common() -> Self {
        Self {
            name: None,
            shop: Shop::common(),
        }
    }

    /// The same shop, slicing in this way where one is said.
    #[must_use]
    pub fn slicing(self, way: Option<Sliced>) -> Self {
        Self {
            shop: match way {
                Some(way) => self.shop.slicing(way),
                None => self.shop,
            },
            ..self
        }
    }
}
