//! Small symmetric systems: Cholesky on a fixed buffer, no allocation in the loop.

/// Most unknowns that a model may have.
pub(super) const MAX: usize = 29;

/// A vector of unknowns.
pub(super) type Vector = [f64; MAX];
/// A matrix of unknowns; of a symmetric one, the lower triangle.
pub(super) type Matrix = [[f64; MAX]; MAX];

/// The Cholesky factor of a symmetric positive definite matrix of `n` unknowns.
#[derive(Debug, Clone)]
pub(super) struct Factor<const N: usize = MAX> {
    n: usize,
    l: [[f64; N]; N],
    /// Logarithm of the matrix's determinant.
    pub ln_det: f64,
}

impl<const N: usize> Factor<N> {
    /// Factors the lower triangle of `a`; `None` where it is not positive definite.
    pub(super) fn new(a: &[[f64; N]; N], n: usize) -> Option<Self> {
        let mut l = [[0.0; N]; N];
        let mut ln_det = 0.0;
        for i in 0..n {
            for j in 0..=i {
                let mut v = a[i][j];
                for k in 0..j {
                    v -= l[i][k] * l[j][k];
                }
                if i == j {
                    if v <= 0.0 || !v.is_finite() {
                        return None;
                    }
                    l[i][i] = v.sqrt();
                    ln_det += v.ln();
                } else {
                    l[i][j] = v / l[j][j];
                }
            }
        }
        Some(Self { n, l, ln_det })
    }

    /// L⁻¹ b.
    pub(super) fn forward(&self, b: &[f64; N]) -> [f64; N] {
        let mut z = [0.0; N];
        for i in 0..self.n {
            let mut v = b[i];
            for k in 0..i {
                v -= self.l[i][k] * z[k];
            }
            z[i] = v / self.l[i][i];
        }
        z
    }

    /// L⁻ᵀ z; after [`Self::forward`] the solution.
    pub(super) fn back(&self, z: &[f64; N]) -> [f64; N] {
        let mut x = [0.0; N];
        for i in (0..self.n).rev() {
            let mut v = z[i];
            for k in i + 1..self.n {
                v -= self.l[k][i] * x[k];
            }
            x[i] = v / self.l[i][i];
        }
        x
    }

    /// Column `j` of the inverse.
    pub(super) fn inverse_column(&self, j: usize) -> [f64; N] {
        let mut e = [0.0; N];
        e[j] = 1.0;
        self.back(&self.forward(&e))
    }

    /// The whole inverse.
    pub(super) fn inverse(&self) -> [[f64; N]; N] {
        let mut out = [[0.0; N]; N];
        for (j, row) in out.iter_mut().enumerate().take(self.n) {
            *row = self.inverse_column(j);
        }
        out
    }
}

/// Most unknowns that are left by [`reduce`].
pub(super) const LEFT: usize = 14;

/// Normal equations of which the first unknowns are solved for: what is left for the others.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reduced {
    /// How many are left.
    pub n: usize,
    /// Lower triangle of their matrix (the Schur complement), and their right side.
    pub a: [[f64; LEFT]; LEFT],
    pub b: [f64; LEFT],
    /// What the first took of the sum of squares (negative), and the logarithm of the determinant of
    /// their matrix.
    pub yy: f64,
    pub ln: f64,
}

/// Solves for the first `count` unknowns in this `order`; `a` has the lower triangle.
pub(super) fn reduce(a: &Matrix, b: &Vector, order: &[usize], count: usize) -> Option<Reduced> {
    let n = order.len();
    let mut l = [[0.0; MAX]; MAX];
    let mut z = [0.0; MAX];
    let mut out = Reduced {
        n: n - count,
        a: [[0.0; LEFT]; LEFT],
        b: [0.0; LEFT],
        yy: 0.0,
        ln: 0.0,
    };
    for i in 0..n {
        for j in 0..=i {
            let (p, q) = (order[i].max(order[j]), order[i].min(order[j]));
            let mut v = a[p][q];
            for k in 0..j.min(count) {
                v -= l[i][k] * l[j][k];
            }
            if j >= count {
                out.a[i - count][j - count] = v;
            } else if i == j {
                if v <= 0.0 || !v.is_finite() {
                    return None;
                }
                l[i][i] = v.sqrt();
                out.ln += v.ln();
            } else {
                l[i][j] = v / l[j][j];
            }
        }
        let mut v = b[order[i]];
        for k in 0..i.min(count) {
            v -= l[i][k] * z[k];
        }
        if i < count {
            z[i] = v / l[i][i];
            out.yy -= z[i] * z[i];
        } else {
            out.b[i - count] = v;
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_and_inverts() {
        let mut s = [[0.0; MAX]; MAX];
        let a = [[4.0, 1.0, 0.5], [1.0, 3.0, -0.2], [0.5, -0.2, 2.0]];
        for i in 0..3 {
            s[i][..3].copy_from_slice(&a[i]);
        }
        let mut b = [0.0; MAX];
        b[..3].copy_from_slice(&[1.0, 2.0, 3.0]);
        let f = Factor::new(&s, 3).unwrap();
        let x = f.back(&f.forward(&b));
        let inv = f.inverse();
        for i in 0..3 {
            let ax: f64 = (0..3).map(|j| a[i][j] * x[j]).sum();
            assert!((ax - b[i]).abs() < 1e-12);
            for k in 0..3 {
                let e: f64 = (0..3).map(|j| a[i][j] * inv[j][k]).sum();
                assert!((e - f64::from(u8::from(i == k))).abs() < 1e-12);
            }
        }
        let det: f64 = 4.0 * (6.0 - 0.04) - (2.0 + 0.1) + 0.5 * (-0.2 - 1.5);
        assert!((f.ln_det - det.ln()).abs() < 1e-12);
        s[0][0] = -1.0;
        assert!(Factor::new(&s, 3).is_none());
    }

    #[test]
    fn what_is_left_has_the_whole_ones_solution() {
        let mut s = [[0.0; MAX]; MAX];
        let a = [
            [4.0, 0.0, 0.0, 0.0],
            [1.0, 3.0, 0.0, 0.0],
            [0.5, -0.2, 2.0, 0.0],
            [0.3, 0.7, -0.4, 5.0],
        ];
        for i in 0..4 {
            s[i][..4].copy_from_slice(&a[i]);
        }
        let mut b = [0.0; MAX];
        b[..4].copy_from_slice(&[1.0, 2.0, 3.0, -1.0]);
        let whole = Factor::new(&s, 4).unwrap();
        let z = whole.forward(&b);
        let x = whole.back(&z);
        // The last two of this order are the first and the third.
        let left = reduce(&s, &b, &[3, 1, 2, 0], 2).unwrap();
        let rest = Factor::new(&left.a, left.n).unwrap();
        let y = rest.forward(&left.b);
        let have = rest.back(&y);
        assert!((have[0] - x[2]).abs() < 1e-12 && (have[1] - x[0]).abs() < 1e-12);
        assert!((left.ln + rest.ln_det - whole.ln_det).abs() < 1e-12);
        let square = |z: &[f64]| z.iter().map(|z| z * z).sum::<f64>();
        assert!((square(&y) - left.yy - square(&z)).abs() < 1e-12);
        let var = rest.inverse_column(1)[1];
        assert!((var - whole.inverse_column(0)[0]).abs() < 1e-12);
    }
}
