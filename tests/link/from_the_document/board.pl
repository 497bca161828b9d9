#!/usr/bin/perl
# A board written by somebody who had PROTOCOL.md and nothing else: a TCP connection is its port. Pins
# 2-12 are digital, 5 and 6 can dim, 14 and 15 are analogue (1023 counts). For simulation only.
#
# Standard input:  close PIN | open PIN | counts PIN N | reset | deaf MS (sends nothing) | quit
# Standard output: port N, lamp PIN BRIGHTNESS, tone PIN HZ, free
use strict;
use warnings;
use FindBin;
use IO::Socket::INET;
use Socket qw(IPPROTO_TCP TCP_NODELAY);
require "$FindBin::Bin/frames.pl";
$| = 1;
$SIG{PIPE} = 'IGNORE';

use constant { HELLO_REQUEST => 1, SETUP_BEGIN => 2, SETUP_ITEM => 3, SETUP_COMMIT => 4, COMMAND => 5, RELEASE => 6 };
use constant { CONTACT => 1, ANALOGUE => 2, LAMP => 0x10, TONE => 0x11 };
use constant { PULL_UP => 1, ACTIVE_LOW => 2, PWM => 4, HOLD_AFTER_EDGE => 8 };
use constant { OK => 0, BAD_CHECKSUM => 1, BAD_ORDER => 2, TOO_MANY_ITEMS => 3, UNKNOWN_KIND => 4, NO_SUCH_PIN => 5,
    PIN_IN_USE => 6, PIN_CANNOT => 7, BAD_VALUE => 8, REPORT_TOO_LONG => 9 };
use constant { BOARD_CODE => 101, MAX_ITEMS => 32, FULL_SCALE => 1023, MAX_TONES => 2, MAX_TONES_HZ => 8000 };
use constant { HELLO_EACH => 0.5, EDGE_REPEAT => 0.04, ANSWER_GAP => 0.02, SETTLE_LEAST => 0.01, SETTLE_MOST => 0.6 };

my %digital = map { $_ => 1 } 2 .. 12;
my %dims = (5 => 1, 6 => 1);
my %analogue = (14 => 1, 15 => 1);
my %flags_of = (CONTACT, PULL_UP | ACTIVE_LOW | HOLD_AFTER_EDGE, ANALOGUE, 0, LAMP, ACTIVE_LOW | PWM, TONE, 0);

# The world around the board: it outlives a reset.
my (%grounded, %counts);
my $now = monotonic();
my $deaf_until = 0;
my $client;
# The board's memory.
my $boot_id = int rand 65536;
my ($rx, $bad_frames, $hello_due);
my $setup;    # undef: none; else a hash, active or being sent
start();
my $listener = IO::Socket::INET->new(LocalAddr => '127.0.0.1', LocalPort => 0, Listen => 4, Proto => 'tcp') or die "listen: $@\n";
print 'port ', $listener->sockport, "\n";
my ($typed, $stdin_open, $parent) = ('', 1, getppid);
while (1) {
    my $watch = '';
    vec($watch, fileno $_, 1) = 1 for $listener, $client // (), $stdin_open ? \*STDIN : ();
    my $ready = select my $can = $watch, undef, undef, $setup && $setup->{active} ? 0.002 : 0.01;
    $can = '' if $ready <= 0;
    $now = monotonic();
    if ($stdin_open && vec $can, fileno(STDIN), 1) {
        $stdin_open = sysread STDIN, $typed, 4096, length $typed;
        by_hand($1) while $typed =~ s/^(.*?)\r?\n//;
    }
    exit if !$stdin_open && getppid != $parent;
    if ($client && vec $can, fileno($client), 1) {
        my $got = sysread $client, my $bytes, 65536;
        if ($got) { message($_), tick() for receive($rx, $bytes) }
        elsif (defined $got || !$!{EAGAIN}) { close $client; undef $client }
    }
    if (vec $can, fileno($listener), 1) {
        if (my $new = $listener->accept) {    # a new host replaces the old one
            close $client if $client;
            $client = $new;
            $client->blocking(0);
            setsockopt $client, IPPROTO_TCP, TCP_NODELAY, 1;
            $rx = receiver();
        }
    }
    tick();
}
# As after a reset.
sub start { ($setup, $bad_frames, $rx, $hello_due) = (undef, 0, receiver(), $now) }
sub by_hand {
    my ($word, @n) = split ' ', shift;
    return unless defined $word;
    exit if $word eq 'quit';
    if ($word eq 'close' || $word eq 'open') {
        sample();    # what was so until now
        $grounded{ $n[0] } = $word eq 'close';
        sample();
    }
    elsif ($word eq 'counts') { $counts{ $n[0] } = $n[1] > FULL_SCALE ? FULL_SCALE : $n[1] }
    elsif ($word eq 'deaf') { $deaf_until = $now + $n[0] / 1000 }
    elsif ($word eq 'reset') {
        drop_setup(1);
        $boot_id = ($boot_id + 1) & 0xFFFF;
        start();
    }
    else { warn "unknown: $word\n" }
}
sub transmit { syswrite $client, frame($_[0]) if $client && $now >= $deaf_until }
sub hello {
    transmit(pack 'C5vvC', 0x81, 1, BOARD_CODE, 1, 0, $boot_id, $setup && $setup->{active} ? $setup->{checksum} : 0, MAX_ITEMS);
}
sub reply {
    my ($answers, $index, $status) = @_;
    transmit(pack 'C5v', 0x82, $setup ? $setup->{session} : 0, $answers, $index, $status, $setup ? sum() : 0xFFFF);
}
sub sum { return crc16(join '', @{ $setup->{bodies} }) }
sub message {
    my ($m) = @_;
    return bad() unless defined $m;
    my ($type, $size) = (ord $m, length $m);
    if    ($type == HELLO_REQUEST && $size == 2) { hello() }
    elsif ($type == SETUP_BEGIN   && $size == 9) { setup_begin(unpack 'xCCvvv', $m) }
    elsif ($type == SETUP_ITEM    && $size == 11) { reply(SETUP_ITEM, ord substr($m, 1), setup_item(unpack 'xCa9', $m)) }
    elsif ($type == SETUP_COMMIT  && $size == 3) { setup_commit(unpack 'xv', $m) }
    elsif ($type == COMMAND       && $size >= 6) { command(unpack 'xCvva*', $m) }
    elsif ($type == RELEASE       && $size == 1) {
        $hello_due = $now + HELLO_EACH if $setup;
        drop_setup();
        hello();
    }
    else { bad() }    # CAPTURE is an unknown type here
}
sub bad { $bad_frames = ($bad_frames + 1) & 0xFF }
sub drop_setup {    # outputs to idle, then all pins are inputs; at a reset only the tones end
    my ($by_reset) = @_;
    if ($setup && $setup->{active}) {
        outputs_idle($by_reset);
        print "free\n";
    }
    undef $setup;
}
sub setup_begin {
    my ($session, $count, $checksum, $timeout, $interval) = @_;
    drop_setup();
    my $status = !$session || !$timeout || !$interval ? BAD_VALUE : $count > MAX_ITEMS ? TOO_MANY_ITEMS : OK;
    if ($status == OK) {
        $setup = { session => $session, count => $count, checksum => $checksum, timeout => $timeout / 1000,
            interval => $interval / 1000, bodies => [], active => 0, items => [], pins => {},
            contacts => [], analogues => [], outputs => [] };
    }
    else { $hello_due = $now + HELLO_EACH }
    reply(SETUP_BEGIN, 0, $status);
}
sub setup_item {    # returns the status
    my ($index, $body) = @_;
    return BAD_ORDER unless $setup;
    my $have = @{ $setup->{bodies} };
    return OK if $have && $index == $have - 1 && $body eq $setup->{bodies}[-1];
    return BAD_ORDER if $index != $have || $index >= $setup->{count};
    my ($kind, $pin, $flags, $p1, $p2, $p3) = unpack 'CCCvvv', $body;
    return UNKNOWN_KIND unless exists $flags_of{$kind};
    return NO_SUCH_PIN unless $digital{$pin} || $analogue{$pin};
    return PIN_IN_USE if $setup->{pins}{$pin};
    return PIN_CANNOT unless $kind == ANALOGUE ? $analogue{$pin} : $digital{$pin};
    return PIN_CANNOT if $kind == LAMP && $flags & PWM && !$dims{$pin};
    return BAD_VALUE if $flags & ~$flags_of{$kind};
    return BAD_VALUE if $kind == TONE ? $p1 < 31 || $p1 > 10000 || !$p2 || !$p3 : $p2 || $p3;
    return BAD_VALUE if $kind == CONTACT && ($p1 < 1 || $p1 > 500) || $kind == ANALOGUE && $p1 > FULL_SCALE || $kind == LAMP && $p1 > 255;
    my $item = { kind => $kind, pin => $pin, flags => $flags, p1 => $p1, p2 => $p2, p3 => $p3 };
    my @all = (@{ $setup->{items} }, $item);
    my @tones = grep { $_->{kind} == TONE } @all;
    return TOO_MANY_ITEMS if @tones > MAX_TONES;
    return BAD_VALUE if $kind == TONE && @tones == 2 && $tones[0]{p1} + $tones[1]{p1} > MAX_TONES_HZ;
    my $contacts = grep { $_->{kind} == CONTACT } @all;
    my $analogues = grep { $_->{kind} == ANALOGUE } @all;
    return REPORT_TOO_LONG if 11 + int(($contacts + 7) / 8) + 2 * $analogues + 16 > 118 || 6 + @all - $contacts - $analogues > 118;
    $setup->{items} = \@all;
    $setup->{pins}{$pin} = 1;
    push @{ $setup->{bodies} }, $body;
    return OK;
}
sub setup_commit {
    my ($checksum) = @_;
    return reply(SETUP_COMMIT, 0, BAD_ORDER) if !$setup || @{ $setup->{bodies} } < $setup->{count};
    return reply(SETUP_COMMIT, 0, BAD_CHECKSUM) if $checksum != $setup->{checksum} || $checksum != sum();
    return reply(SETUP_COMMIT, 0, OK) if $setup->{active};
    push @{ $setup->{ $_->{kind} == CONTACT ? "contacts" : $_->{kind} == ANALOGUE ? "analogues" : "outputs" } }, $_ for @{ $setup->{items} };
    %$setup = (%$setup, active => 1, begun => $now, heard => $now, silent => 0, settled => 0, sequence => 0, command => 0,
        commanded => 0, edges => [], next_edge => 0, carried => 0, lost => 0, reported => $now, want => 0, analogue_new => 0);
    for (@{ $setup->{contacts} }) {    # a burst begins: settling
        @$_{qw(time raw changed burst burst_since noisy hold)} = ($_->{p1} / 1000, raw($_), $now, 1, $now, 0, 0);
    }
    $_->{value} = $counts{ $_->{pin} } // 0 for @{ $setup->{analogues} };
    outputs_idle();
    reply(SETUP_COMMIT, 0, OK);
}
sub command {
    my ($session, $sequence, $ack, $values) = @_;
    return unless $setup && $setup->{active} && $session == $setup->{session};
    my @values = unpack 'C*', $values;
    my @outputs = @{ $setup->{outputs} };
    return bad() if @values != @outputs || grep { $outputs[$_]{kind} == TONE && $values[$_] > 2 } 0 .. $#outputs;
    return if $setup->{commanded} && !newer($sequence, $setup->{command});
    @$setup{qw(command commanded heard silent)} = ($sequence, 1, $now, 0);
    set_output($outputs[$_], $values[$_]) for 0 .. $#outputs;
    my $edges = $setup->{edges};
    my $gone = ($ack - ($setup->{next_edge} - @$edges)) & 0xFFFF;    # edges that this acknowledges
    if ($gone && $gone <= @$edges) {
        splice @$edges, 0, $gone;
        $setup->{carried} = $setup->{carried} > $gone ? $setup->{carried} - $gone : 0;
        $setup->{lost} = 0;
        $setup->{want} = 1 if @$edges > $setup->{carried};
    }
    $setup->{want} = 1 if $now - $setup->{reported} >= ANSWER_GAP;
    $setup->{want} = 0 unless $setup->{settled};
}
sub set_output {
    my ($item, $value) = @_;
    if ($item->{kind} == TONE) {
        $item->{since} = $now if $value != ($item->{value} // 0);
        $item->{value} = $value;
        return play($item);
    }
    return show('lamp', $item, $value);
}
sub show {
    my ($name, $item, $value) = @_;
    return if defined $item->{shown} && $item->{shown} == $value;
    $item->{shown} = $value;
    print "$name $item->{pin} $value\n";
}
sub play {
    my ($item) = @_;
    my $at = ($now - ($item->{since} // $now)) * 1000;
    my $period = $item->{p2} + $item->{p3};
    $at -= $period * int($at / $period);
    my $on = $item->{value} == 2 || $item->{value} == 1 && $at < $item->{p2};
    show('tone', $item, $on ? $item->{p1} : 0);
}
sub outputs_idle {
    my ($tones_only) = @_;
    for (@{ $setup->{outputs} }) {
        next if $tones_only && $_->{kind} != TONE;
        set_output($_, $_->{kind} == TONE ? 0 : $_->{p1});
    }
}
sub raw { my ($c) = @_; return ($grounded{ $c->{pin} } ? 1 : 0) ^ ($c->{flags} & ACTIVE_LOW ? 0 : 1) }
sub sample {    # one reading of all contacts
    return unless $setup && $setup->{active};
    my $contacts = $setup->{contacts};
    for my $i (0 .. $#$contacts) {
        my $c = $contacts->[$i];
        my $is = raw($c);
        my $ends = $c->{changed} + $c->{time};    # of the burst, if nothing changes any more
        if ($c->{burst}) {
            my $until = $now < $ends ? $now : $ends;
            $c->{noisy} = 1 if $until - $c->{burst_since} > 2 * $c->{time} + 1e-6;
            $c->{burst} = 0 if $now >= $ends;
        }
        if ($is != $c->{raw}) {
            @$c{qw(burst burst_since noisy)} = (1, $now, 0) unless $c->{burst};
            @$c{qw(raw changed)} = ($is, $now);
        }
        next if !$setup->{settled} || $is == $c->{state};
        next if $c->{flags} & HOLD_AFTER_EDGE ? $now < $c->{hold} : $now < $c->{changed} + $c->{time};
        @$c{qw(state hold)} = ($is, $now + $c->{time});
        my $edges = $setup->{edges};
        if (@$edges >= ($#$contacts >= 32 ? @$contacts : 32)) {
            shift @$edges;
            $setup->{carried}-- if $setup->{carried};
            $setup->{lost} = 1;
        }
        push @$edges, $i | $is << 7;
        $setup->{next_edge} = ($setup->{next_edge} + 1) & 0xFFFF;
        $setup->{want} = 1;
    }
}

sub tick {
    if (!$setup && $now >= $hello_due) {
        hello();
        $hello_due += HELLO_EACH while $hello_due <= $now;
    }
    return unless $setup && $setup->{active};
    sample();
    for (@{ $setup->{analogues} }) {
        my $value = $counts{ $_->{pin} } // 0;
        next if abs($value - $_->{value}) <= $_->{p1};
        $_->{value} = $value;
        $setup->{analogue_new} = 1;
    }
    if (!$setup->{silent} && $now - $setup->{heard} >= $setup->{timeout}) {
        $setup->{silent} = 1;
        outputs_idle();
    }
    $_->{kind} == TONE and play($_) for @{ $setup->{outputs} };
    return settle() unless $setup->{settled};
    my $since = $now - $setup->{reported};
    report() if $setup->{want} || $setup->{analogue_new} && $since >= ANSWER_GAP
        || @{ $setup->{edges} } && $since >= EDGE_REPEAT || $since >= $setup->{interval};
}
sub settle {
    my $age = $now - $setup->{begun};
    my $contacts = $setup->{contacts};
    return if @$contacts && $age < SETTLE_MOST && ($age < SETTLE_LEAST || grep { $now - $_->{changed} < $_->{time} } @$contacts);
    $_->{state} = $_->{raw} for @$contacts;
    $setup->{settled} = 1;
    report();
}
sub report {
    my @edges = @{ $setup->{edges} };
    my @state = map { $_->{state} } @{ $setup->{contacts} };
    my $first = ($setup->{next_edge} - @edges) & 0xFFFF;
    while (@edges > 16) { my $late = pop @edges; $state[$late & 0x7F] = $late & 0x80 ? 0 : 1 }    # not sent yet
    my $noisy = grep { $_->{noisy} } @{ $setup->{contacts} };
    my $flags = ($setup->{silent} ? 1 : 0) | ($setup->{lost} ? 2 : 0) | ($noisy ? 4 : 0);
    transmit(pack('CCvvCCvC', 0x83, @$setup{qw(session sequence command)}, $flags, $bad_frames, $first, scalar @edges)
        . pack('b*', join '', @state) . pack('v*', map { $_->{value} } @{ $setup->{analogues} }) . pack('C*', @edges));
    $setup->{sequence} = ($setup->{sequence} + 1) & 0xFFFF;
    $setup->{carried} = @edges if $setup->{carried} < @edges;
    @$setup{qw(reported want analogue_new)} = ($now, 0, 0);
}
