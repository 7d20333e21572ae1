//! Small symmetric systems: Cholesky on a fixed buffer, no allocation in the loop.

/// Most unknowns that a model may have.
pub(super) const MAX: usize = 17;

/// A symmetric positive definite system of `n` unknowns (lower triangle in use).
#[derive(Debug, Clone)]
pub(super) struct Normal {
    pub n: usize,
    pub a: [[f64; MAX]; MAX],
    pub b: [f64; MAX],
}

/// Its solution: the unknowns, the inverse of the matrix and the logarithm of its determinant.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub x: [f64; MAX],
    pub inv: [[f64; MAX]; MAX],
    pub ln_det: f64,
    /// bᵀ A⁻¹ b.
    pub explained: f64,
}

impl Normal {
    pub(super) fn new(n: usize) -> Self {
        Self {
            n,
            a: [[0.0; MAX]; MAX],
            b: [0.0; MAX],
        }
    }

    /// Solves; `None` where the matrix is not positive definite.
    pub(super) fn solve(&self) -> Option<Solved> {
        let n = self.n;
        let mut l = [[0.0; MAX]; MAX];
        let mut ln_det = 0.0;
        for i in 0..n {
            for j in 0..=i {
                let dot: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
                let v = self.a[i][j] - dot;
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
        // L⁻¹, then A⁻¹ = L⁻ᵀ L⁻¹.
        let mut m = [[0.0; MAX]; MAX];
        for i in 0..n {
            m[i][i] = 1.0 / l[i][i];
            for j in 0..i {
                let dot: f64 = (j..i).map(|k| l[i][k] * m[k][j]).sum();
                m[i][j] = -dot / l[i][i];
            }
        }
        let mut inv = [[0.0; MAX]; MAX];
        for i in 0..n {
            for j in 0..=i {
                let v = (i..n).map(|k| m[k][i] * m[k][j]).sum();
                inv[i][j] = v;
                inv[j][i] = v;
            }
        }
        let mut x = [0.0; MAX];
        let mut explained = 0.0;
        for i in 0..n {
            x[i] = (0..n).map(|j| inv[i][j] * self.b[j]).sum();
            explained += x[i] * self.b[i];
        }
        Some(Solved {
            x,
            inv,
            ln_det,
            explained,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_and_inverts() {
        let mut s = Normal::new(3);
        let a = [[4.0, 1.0, 0.5], [1.0, 3.0, -0.2], [0.5, -0.2, 2.0]];
        for i in 0..3 {
            s.a[i][..3].copy_from_slice(&a[i]);
        }
        s.b[..3].copy_from_slice(&[1.0, 2.0, 3.0]);
        let r = s.solve().unwrap();
        for i in 0..3 {
            let ax: f64 = (0..3).map(|j| a[i][j] * r.x[j]).sum();
            assert!((ax - s.b[i]).abs() < 1e-12);
            for k in 0..3 {
                let e: f64 = (0..3).map(|j| a[i][j] * r.inv[j][k]).sum();
                assert!((e - f64::from(u8::from(i == k))).abs() < 1e-12);
            }
        }
        let det: f64 = 4.0 * (6.0 - 0.04) - (2.0 + 0.1) + 0.5 * (-0.2 - 1.5);
        assert!((r.ln_det - det.ln()).abs() < 1e-12);
        s.a[0][0] = -1.0;
        assert!(s.solve().is_none());
    }
}
