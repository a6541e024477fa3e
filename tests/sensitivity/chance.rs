//! Random numbers for games whose truth is known: the same on every platform and in every run.
//!
//! Every game has a stream of its own, so that a row of a table stays what it is when another is added.

use pinindex::statistics::normal;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// What every stream starts from; the tables name it.
pub const NUMBER: u64 = 2026;

pub struct Chance(ChaCha8Rng);

impl Chance {
    /// Returns the stream of a game.
    pub fn of(game: u64) -> Chance {
        let mut random = ChaCha8Rng::seed_from_u64(NUMBER);
        random.set_stream(game);
        Chance(random)
    }

    /// Returns a number above 0 and below 1.
    pub fn part(&mut self) -> f64 {
        (f64::from(self.0.next_u32()) + 0.5) / 4_294_967_296.0
    }

    /// Returns a number of mean 0 and standard deviation 1.
    pub fn normal(&mut self) -> f64 {
        normal::quantile(self.part()).unwrap()
    }

    /// Returns a waiting time of that mean, for something that comes at random at a steady rate.
    pub fn wait(&mut self, mean: f64) -> f64 {
        -mean * libm::log(self.part())
    }

    /// Returns one of so many things.
    pub fn below(&mut self, things: usize) -> usize {
        (self.part() * things as f64) as usize
    }

    /// Returns which of so many trials succeed, each with that probability, in order.
    pub fn successes(&mut self, trials: u64, probability: f64) -> Vec<u64> {
        let mut all = Vec::new();
        let mut next = 0.0;
        loop {
            // How many fail before one succeeds has a geometric distribution.
            next += (libm::log(self.part()) / libm::log1p(-probability)).floor();
            if next >= trials as f64 {
                return all;
            }
            all.push(next as u64);
            next += 1.0;
        }
    }
}
