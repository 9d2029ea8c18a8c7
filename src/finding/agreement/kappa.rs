//! Cohen's kappa, plain and weighted.

/// How often each pair of labels was given: row by row the first rater's label, in each row
/// the second's.
///
/// Counts or shares; only their proportions matter.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Labels {
    size: usize,
    counts: Vec<f64>,
}

/// A kappa with what it is made of; print the three together, since kappa alone misleads
/// where nearly all labels are the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kappa {
    /// The share of agreements seen, pₒ; of the weighted kappa, one less the mean weight of
    /// a pair over the greatest weight.
    pub observed: f64,
    /// What chance alone would give with the same shares of labels, pₑ.
    pub expected: f64,
    /// `(observed − expected) / (1 − expected)`: 1 full agreement, 0 what chance gives,
    /// below it less than that; `None` without pairs, or where chance alone agrees fully.
    pub kappa: Option<f64>,
}

impl Labels {
    /// An empty table of so many labels.
    #[must_use]
    pub fn new(size: usize) -> Self {
        Self {
            size,
            counts: vec![0.0; size * size],
        }
    }

    /// Adds pairs of the first rater's label `one` and the second's `other`, counted from 0.
    /// What is beyond the table is disregarded.
    pub fn add(&mut self, one: usize, other: usize, count: f64) {
        if other < self.size {
            if let Some(cell) = self.counts.get_mut(one * self.size + other) {
                *cell += count;
            }
        }
    }

    /// Cohen's kappa: every disagreement counts the same.
    ///
    /// Cost: quadratic in the labels. Symmetric in the raters.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::finding::agreement::kappa::Labels;
    ///
    /// let mut labels = Labels::new(2);
    /// for (one, other, count) in [(0, 0, 45.0), (0, 1, 15.0), (1, 0, 25.0), (1, 1, 15.0)] {
    ///     labels.add(one, other, count);
    /// }
    /// let kappa = labels.kappa();
    /// assert_eq!(format!("{:.2} {:.2}", kappa.observed, kappa.expected), "0.60 0.54");
    /// assert_eq!(format!("{:.3}", kappa.kappa.unwrap()), "0.130");
    /// assert_eq!(Labels::new(2).kappa().kappa, None);
    /// ```
    ///
    /// # Source
    /// Cohen 1960, Educational and Psychological Measurement 20:37–46.
    #[must_use]
    pub fn kappa(&self) -> Kappa {
        self.weighted(|one, other| f64::from(u8::from(one != other)))
    }

    /// The weighted kappa, `1 − Σ v·pₒ / Σ v·pₑ`: `weight` says how bad a disagreement is,
    /// 0 for none, and is not negative.
    ///
    /// Cost: quadratic in the labels.
    ///
    /// # Source
    /// Cohen 1968, Psychological Bulletin 70:213–220.
    #[must_use]
    pub fn weighted(&self, weight: impl Fn(usize, usize) -> f64) -> Kappa {
        let total: f64 = self.counts.iter().sum();
        let cell = |one: usize, other: usize| {
            self.counts
                .get(one * self.size + other)
                .copied()
                .unwrap_or(0.0)
        };
        let all = 0..self.size;
        let first: Vec<f64> = all
            .clone()
            .map(|one| all.clone().map(|other| cell(one, other)).sum())
            .collect();
        let second: Vec<f64> = all
            .clone()
            .map(|other| all.clone().map(|one| cell(one, other)).sum())
            .collect();
        let (mut seen, mut chance, mut greatest) = (0.0, 0.0, 0.0_f64);
        for (one, first) in first.iter().enumerate() {
            for (other, second) in second.iter().enumerate() {
                let weight = weight(one, other);
                seen += weight * cell(one, other);
                chance += weight * first * second;
                greatest = greatest.max(weight);
            }
        }
        if total <= 0.0 || greatest <= 0.0 {
            let agreed = if total > 0.0 { 1.0 } else { 0.0 };
            return Kappa {
                observed: agreed,
                expected: agreed,
                kappa: None,
            };
        }
        let (seen, chance) = (seen / total, chance / total / total);
        Kappa {
            observed: 1.0 - seen / greatest,
            expected: 1.0 - chance / greatest,
            kappa: (chance > 0.0).then(|| 1.0 - seen / chance),
        }
    }
}
