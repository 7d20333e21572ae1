//! Small symmetric systems: Cholesky on a fixed buffer, no allocation in the loop.

/// Most unknowns that a model may have.
pub(super) const MAX: usize = 17;

/// A vector of unknowns.
pub(super) type Vector = [f64; MAX];
/// A matrix of unknowns; of a symmetric one, the lower triangle.
pub(super) type Matrix = [[f64; MAX]; MAX];

/// The Cholesky factor of a symmetric positive definite matrix of `n` unknowns.
#[derive(Debug, Clone)]
pub(super) struct Factor {
    n: usize,
    l: Matrix,
    /// Logarithm of the matrix's determinant.
    pub ln_det: f64,
}

impl Factor {
    /// Factors the lower triangle of `a`; `None` where it is not positive definite.
    pub(super) fn new(a: &Matrix, n: usize) -> Option<Self> {
        let mut l = [[0.0; MAX]; MAX];
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
    pub(super) fn forward(&self, b: &Vector) -> Vector {
        let mut z = [0.0; MAX];
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
    pub(super) fn back(&self, z: &Vector) -> Vector {
        let mut x = [0.0; MAX];
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
    pub(super) fn inverse_column(&self, j: usize) -> Vector {
        let mut e = [0.0; MAX];
        e[j] = 1.0;
        self.back(&self.forward(&e))
    }

    /// The whole inverse.
    pub(super) fn inverse(&self) -> Matrix {
        let mut out = [[0.0; MAX]; MAX];
        for (j, row) in out.iter_mut().enumerate().take(self.n) {
            *row = self.inverse_column(j);
        }
        out
    }
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
}
