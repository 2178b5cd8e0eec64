# cython: language_level=3
# Types for forest.py, read by the compiler only: the plain source runs without them.
cimport cython

cdef int NONE, FREE, PIECE, ACROSS, DOWN
cdef int TYPE, WIDE, HIGH, PARENT, FIRST, NEXT, PREV, ITEM, SPOT, LEVEL, SLOT, STRIDE
cdef int FREE_COUNT, SPARE_COUNT, OUT_COUNT, SPARE, UNUSED, HEAD
cdef int LEAF, LEAF_WIDE, LEAF_HIGH, ENTRY
cdef int STEPS, ORDERS, MANY, FAR
cdef unsigned long long FACTOR, ADDED, BITS

@cython.final
cdef class Forest:
    cdef int item_count, sheet_kinds, slots, papers
    cdef int[::1] kind_of, wide, high, block, allow
    cdef int[::1] sheet_wide, sheet_high, sheet_paper, sheet_axis, sheet_turns, limits
    cdef long long[::1] costs
    cdef int longest, setting, held, turns, kerf, ruled
    cdef double[::1] powers, logs, weight
    cdef unsigned long long state
    cdef int power, blink, stamp, keen
    cdef int[::1] turned, failed, rank, ranked, c, saved, best
    cdef double unit, temperature, best_free, largest, pick_loss
    cdef int least_wide, least_high
    cdef int free_at, out_at, node_at, kind_at, root_at
    cdef int pick_leaf, pick_wide, pick_high, pick_axis
    cdef long long most_cost
    cdef int most_sheets

    @cython.locals(end=int)
    cdef void copy(self, int[::1] source, int[::1] target) noexcept
    cdef int draw(self, long long n) noexcept
    @cython.locals(count=int)
    cdef void free_add(self, int node) noexcept
    @cython.locals(entry=int)
    cdef void free_enter(self, int node, int spot) noexcept
    @cython.locals(count=int)
    cdef void free_delete(self, int node) noexcept
    @cython.locals(node=int)
    cdef int node_new(self, int kind, int wide, int high, int parent, int level) noexcept
    cdef void node_drop(self, int node) noexcept
    cdef int root(self, int slot) noexcept
    @cython.locals(root=int)
    cpdef void open(self, int slot, int kind) noexcept
    @cython.locals(root=int)
    cpdef void close(self, int slot) noexcept
    @cython.locals(parent=int)
    cdef int axis_of(self, int node) noexcept
    @cython.locals(parent=int, wide=int, high=int, level=int, part=int, before=int)
    cdef int split(self, int leaf, int axis, int size) noexcept
    @cython.locals(wide=int, high=int, before=int, level=int, part=int, rest=int)
    cdef int branch(self, int leaf, int axis, int size, int listed) noexcept
    @cython.locals(parent=int, other=int, before=int, after=int)
    cdef void release(self, int node) noexcept
    @cython.locals(count=int)
    cdef void out_add(self, int item) noexcept
    @cython.locals(kind=int, child=int, after=int)
    cdef void scrap(self, int node) noexcept
    @cython.locals(kind=int, child=int, after=int)
    cdef void take_out(self, int node) noexcept
    @cython.locals(kind=int, child=int, total=int)
    cdef int count_items(self, int node) noexcept
    @cython.locals(parent=int, across=bint, child=int, extent=int)
    cdef int occupied(self, int leaf) noexcept
    @cython.locals(parent=int, across=bint, rest=int, widest=int, child=int, other=int)
    cdef int can_be_held(self, int leaf, int size, int extent) noexcept
    @cython.locals(first_extent=int, first_size=int, second_extent=int, second_size=int, before=int, level=int,
                   last_axis=int, parent=int, joined=bint, whole=int, inner=int)
    cdef int lawful(self, int leaf, int axis, int wide, int high, int kind) noexcept
    @cython.locals(share=double, step=int, low=double)
    cdef double value(self, int wide, int high) noexcept
    @cython.locals(w=int, h=int, whole=double, loss=double)
    cdef void consider(self, int leaf, int wide, int high, int kind) noexcept
    @cython.locals(kind=int, wide=int, high=int, turned=int, i=int, entry=int, leaf=int, w=int, h=int, paper=int,
                   ways=int)
    cpdef int place(self, int item) noexcept
    @cython.locals(leaf=int, across=bint, down=bint, part=int)
    cdef void set_down(self, int item) noexcept
    @cython.locals(count=int, i=int, j=int, item=int, base=int, rank=int)
    cdef void sort_out(self, int order) noexcept
    @cython.locals(kept=int, i=int, item=int, kind=int, outside=double)
    cdef int recreate(self, int order, double most) noexcept
    @cython.locals(slot=int, i=int)
    cdef int some_sheet(self) noexcept
    @cython.locals(slot=int, allowance=int, node=int, count=int)
    cdef void ruin(self) noexcept
    @cython.locals(total=int, slot=int)
    cdef int used(self, int kind) noexcept
    @cython.locals(slot=int, kind=int, cost=cython.longlong, dearer=cython.longlong, sheets=int, within=bint)
    cdef void exchange(self) noexcept
    @cython.locals(price=double)
    cdef double price(self)
    @cython.locals(squares=double, largest=double, share=double, entry=int, i=int)
    cdef double price_with(self, double outside) noexcept
    @cython.locals(outside=double, i=int)
    cpdef double left_out(self)
    @cython.locals(now=double, then=double, most=double, done=int)
    cpdef int search(self, int rounds, double ratio)
    cpdef void heat(self, double temperature)
    cpdef void aim(self, long long most_cost, int most_sheets)
    cpdef void seek_free(self)
    cpdef void restore_best(self)
    cpdef void greedy(self, int order, int power)
    cpdef int slot_count(self)
    cpdef long long area_in(self, int slot)
    @cython.locals(total=cython.longlong, child=int)
    cdef long long area_of(self, int node) noexcept
    cpdef int kind_in(self, int slot)
