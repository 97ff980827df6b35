//! Whether a filling keeps the rules: read off the filling alone, apart from how it was found.

use super::{CellRule, LookNumber, Problem};

impl Problem {
    /// The numbers of the rules that a filling breaks; a filling with a look that its cell cannot
    /// take breaks all.
    pub fn broken(&self, looks: &[LookNumber]) -> Vec<usize> {
        let fits = looks.len() == self.options.len()
            && looks.iter().zip(&self.options).all(|(l, o)| o.contains(l));
        (0..self.rules.len())
            .filter(|&r| !fits || !self.rules[r].rule.holds(looks))
            .collect()
    }
}

impl CellRule {
    /// Whether a filling keeps this rule.
    pub fn holds(&self, looks: &[LookNumber]) -> bool {
        match self {
            Self::Pairs(pairs) => pairs
                .iter()
                .all(|p| p.allowed.contains(&(looks[p.one], looks[p.other]))),
            Self::Differ { pairs, sort } => pairs
                .iter()
                .all(|&(a, b)| sort[looks[a] as usize] != sort[looks[b] as usize]),
            Self::Runs { lines, most, sort } => lines.iter().all(|line| {
                let sorts: Vec<u32> = line.iter().map(|&c| sort[looks[c] as usize]).collect();
                sorts.chunk_by(|a, b| a == b).all(|run| run.len() <= *most)
            }),
            Self::Count {
                looks: counted,
                least,
                most,
            } => (*least..=*most).contains(&looks.iter().filter(|l| counted.contains(l)).count()),
            Self::Mirrored { images, becomes } => images
                .iter()
                .all(|&(to, from)| becomes[looks[from] as usize] == Some(looks[to])),
        }
    }
}
