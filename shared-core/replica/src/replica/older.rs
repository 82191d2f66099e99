//! Reading the log as an older version of this program would.

use sponson_proto::event::v1::Kind;

use super::Replica;

impl Replica {
    /// From now on reads events of these kinds as a version that does not know them: it keeps them
    /// and passes them on, and shows their subjects as unproven where their writer asked for that.
    ///
    /// For trying out how a county of mixed versions behaves. It is not stored.
    pub fn read_as_older_than(&mut self, kinds: impl IntoIterator<Item = Kind>) {
        self.index.not_known = kinds.into_iter().map(i32::from).collect();
        if let Err(error) = self.index.read_for_all(&self.store) {
            tracing::error!(store.row = %error.row, "{error}");
        }
        self.records.mark_all(&self.index);
    }
}
