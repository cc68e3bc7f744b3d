/* The project in C, one scenario after another: what a person who knows the machine would write.
 *
 * usage: statement INPUT OUTPUT SCENARIOS REQUIRED
 * INPUT: doubles; energy by operating year, shares of spending, shares of depreciation, then five arrays of scenarios.
 * OUTPUT: doubles; five arrays of scenarios (no required price where REQUIRED is 0).
 * Prints microseconds per scenario of one pass after a warm-up, input and output left out.
 * Constants come from the command line of the compiler.
 */
#define _POSIX_C_SOURCE 199309L
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define ROWS (BUILD_YEARS + OPERATING_YEARS)

static double energy[OPERATING_YEARS], spending[BUILD_YEARS], shares[DEPRECIATION_YEARS];
static double per_price[ROWS];            /* revenue kept per unit of first price */
static double at_discount[ROWS], at_equity[ROWS];

typedef struct {
    double spent[ROWS], fixed[ROWS], service[ROWS];
    double unlevered[ROWS], levered[ROWS]; /* all that is deducted from revenue before tax */
    double financed[ROWS];                 /* flows to the owner that no price moves, operating cost left out */
} Project;

static double value_of(const double *flows, const double *factors)
{
    double total = 0;
    for (int t = 0; t < ROWS; t++) total += flows[t] * factors[t];
    return total;
}

static double draw(const double *spent, double rate, double fee, double reserve, double *drawn, double *interest)
{
    double balance = 0;
    for (int t = 0; t < BUILD_YEARS; t++) {
        double uses = spent ? spent[t] : 0;
        if (t == 0) uses += fee;
        if (t == BUILD_YEARS - 1) uses += reserve;
        interest[t] = rate * balance;
        drawn[t] = DEBT_SHARE * (uses + interest[t]);
        balance += drawn[t];
    }
    return balance;
}

static void arrange(Project *p, double rate, double inflation, double capital, double operating)
{
    double drawn[ROWS] = {0}, interest[ROWS] = {0}, principal[ROWS] = {0}, saved[ROWS] = {0};
    double index = pow(1 + inflation, YEARS_OF_INFLATION), built = 0, financed;
    for (int t = 0; t < ROWS; t++) {
        p->spent[t] = t < BUILD_YEARS ? capital * spending[t] * index : 0;
        p->fixed[t] = t < BUILD_YEARS ? 0 : operating * index;
        built += p->spent[t];
        index *= 1 + inflation;
    }
    double payment = rate / (1 - pow(1 + rate, -DEBT_YEARS));
    double reserve = RESERVE_MONTHS / 12.0 * payment;
    double of_capital = draw(p->spent, rate, 0, 0, drawn, interest);
    double amount = of_capital / (1 - draw(NULL, rate, FEE, reserve, drawn, interest));
    draw(p->spent, rate, FEE * amount, reserve * amount, drawn, interest);
    financed = built + FEE * amount;
    for (int t = 0; t < BUILD_YEARS; t++) financed += interest[t];
    double owed = amount;
    for (int age = 0; age < DEBT_YEARS; age++) {
        int t = BUILD_YEARS + age;
        interest[t] = rate * owed;
        principal[t] = age < DEBT_YEARS - 1 ? payment * amount - interest[t] : owed;
        owed -= principal[t];
    }
    double held = 0;
    for (int t = 0; t < ROWS; t++) p->service[t] = t < BUILD_YEARS ? 0 : interest[t] + principal[t];
    for (int t = BUILD_YEARS - 1; t < ROWS; t++) {
        double next = t < ROWS - 1 ? RESERVE_MONTHS / 12.0 * p->service[t + 1] : 0;
        saved[t] = next - held;
        held = next;
    }
    for (int t = 0; t < ROWS; t++) {
        int age = t - BUILD_YEARS;
        double share = age >= 0 && age < DEPRECIATION_YEARS ? shares[age] : 0;
        p->unlevered[t] = p->fixed[t] + built * share;
        p->levered[t] = p->fixed[t] + financed * share + (age >= 0 ? interest[t] : 0);
        p->financed[t] = drawn[t] - p->spent[t] - (t == 0 ? FEE * amount : 0) - interest[t] - principal[t] - saved[t];
    }
}

/* Cash after operating cost and tax. */
static void cash(const Project *p, double price, const double *deducted, double *left)
{
    double losses = 0;
    for (int t = 0; t < ROWS; t++) {
        double kept = price * per_price[t], profit = kept - deducted[t];
        double gain = profit > 0 ? profit : 0, offset = LOSS_LIMIT * gain;
        if (losses < offset) offset = losses;
        losses += (profit < 0 ? -profit : 0) - offset;
        left[t] = kept - p->fixed[t] - TAX_RATE * (gain - offset);
    }
}

static double equity_value(const Project *p, double price)
{
    double left[ROWS], total = 0;
    cash(p, price, p->levered, left);
    for (int t = 0; t < ROWS; t++) total += (left[t] + p->financed[t]) * at_equity[t];
    return total;
}

static double rate_of_return(const double *flows)
{
    double low = 1 / 11.0, high = 100, step = 1 / 1.1; /* the value rises with the step for these flows */
    for (int n = 0; n < 200; n++) {
        double total = 0, slope = 0;
        for (int t = ROWS - 1; t >= 0; t--) {
            slope = slope * step + total;
            total = total * step + flows[t];
        }
        if (total > 0) high = step; else low = step;
        double next = step - total / slope;
        if (!(next > low && next < high)) next = (low + high) / 2;
        if (fabs(next - step) <= 1e-15 * step) break;
        step = next;
    }
    return 1 / step - 1;
}

static double required_price(const Project *p)
{
    double cost = 0, mwh = 0, scale = 0;
    for (int t = 0; t < ROWS; t++) {
        cost += (p->spent[t] + p->fixed[t]) * at_discount[t];
        scale += (p->spent[t] + p->fixed[t]) * at_equity[t];
        mwh += t < BUILD_YEARS ? 0 : energy[t - BUILD_YEARS] * at_discount[t];
    }
    double a = 0, b = 20 * cost / (mwh * (1 - ROYALTY)), fa = equity_value(p, a), fb = equity_value(p, b), x = b;
    int side = 0;
    for (int n = 0; n < 80; n++) {
        x = b - fb * (b - a) / (fb - fa);
        double fx = equity_value(p, x);
        if (fabs(fx) <= 1e-13 * scale || fabs(b - a) <= 4e-16 * fabs(x)) break;
        if (fx > 0) {
            b = x, fb = fx;
            if (side > 0) fa /= 2;
            side = 1;
        } else {
            a = x, fa = fx;
            if (side < 0) fb /= 2;
            side = -1;
        }
    }
    return x;
}

static void work_out(const double *in, double *out, int count, int required)
{
    for (int n = 0; n < count; n++) {
        Project p;
        double left[ROWS], least = INFINITY;
        double price = in[n];
        arrange(&p, in[count + n], in[2 * count + n], in[3 * count + n], in[4 * count + n]);
        cash(&p, price, p.unlevered, left);
        for (int t = 0; t < ROWS; t++) left[t] -= p.spent[t];
        out[n] = value_of(left, at_discount);
        out[2 * count + n] = rate_of_return(left);
        cash(&p, price, p.levered, left);
        for (int t = BUILD_YEARS; t < BUILD_YEARS + DEBT_YEARS; t++)
            if (left[t] / p.service[t] < least) least = left[t] / p.service[t];
        for (int t = 0; t < ROWS; t++) left[t] += p.financed[t];
        out[count + n] = value_of(left, at_equity);
        out[3 * count + n] = least;
        out[4 * count + n] = required ? required_price(&p) : NAN;
    }
}

static void read_doubles(double *into, size_t count, FILE *file)
{
    if (fread(into, sizeof *into, count, file) != count) {
        fprintf(stderr, "the input is too short\n");
        exit(1);
    }
}

int main(int argc, char **argv)
{
    if (argc != 5) return 2;
    int count = atoi(argv[3]), required = atoi(argv[4]);
    double *in = malloc(5 * sizeof(double) * count), *out = malloc(5 * sizeof(double) * count);
    FILE *file = fopen(argv[1], "rb");
    if (!file || !in || !out) return 1;
    read_doubles(energy, OPERATING_YEARS, file);
    read_doubles(spending, BUILD_YEARS, file);
    read_doubles(shares, DEPRECIATION_YEARS, file);
    read_doubles(in, 5 * (size_t)count, file);
    fclose(file);
    for (int t = 0; t < ROWS; t++) {
        int year = t - BUILD_YEARS + 1;
        per_price[t] = year < 1 ? 0 : pow(1 + PRICE_GROWTH, year - 1) * energy[year - 1] * (1 - ROYALTY);
        at_discount[t] = pow(1 + DISCOUNT_RATE, -year);
        at_equity[t] = pow(1 + EQUITY_RETURN, -year);
    }
    struct timespec from, to;
    work_out(in, out, count, required);
    clock_gettime(CLOCK_MONOTONIC, &from);
    work_out(in, out, count, required);
    clock_gettime(CLOCK_MONOTONIC, &to);
    printf("%.6f\n", ((to.tv_sec - from.tv_sec) * 1e6 + (to.tv_nsec - from.tv_nsec) * 1e-3) / count);
    file = fopen(argv[2], "wb");
    if (!file || fwrite(out, sizeof *out, 5 * (size_t)count, file) != 5 * (size_t)count) return 1;
    return fclose(file);
}
